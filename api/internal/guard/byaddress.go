package guard

import (
	"net/netip"
	"sync"
	"time"
)

// How many addresses are remembered. Our own choice: some megabytes.
const addressesWatched = 10_000

// overflowKey is the address under which the rest are counted together.
const overflowKey = ""

// byAddress holds a value for every address, in bounded memory. An idle one may be dropped; where too many are not
// idle, the rest share one.
type byAddress[T any] struct {
	fresh func() *T
	idle  func(*T, time.Time) bool
	mu    sync.Mutex
	all   map[string]*T
	swept time.Time // when idle ones were last looked for
}

func newByAddress[T any](fresh func() *T, idle func(*T, time.Time) bool) *byAddress[T] {
	return &byAddress[T]{fresh: fresh, idle: idle, all: map[string]*T{}}
}

// use lets do have the value of an address, alone.
func (b *byAddress[T]) use(addr string, now time.Time, do func(*T)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	who := clientPrefix(addr)
	if _, watched := b.all[who]; !watched && len(b.all) >= addressesWatched {
		b.dropIdle(now)
		if len(b.all) >= addressesWatched {
			who = overflowKey
		}
	}
	value, watched := b.all[who]
	if !watched {
		value = b.fresh()
		b.all[who] = value
	}
	do(value)
}

// dropIdle looks at all of them, so it does so once a second at most: a flood of addresses must not make it the slow
// part.
func (b *byAddress[T]) dropIdle(now time.Time) {
	if now.Sub(b.swept) < time.Second {
		return
	}
	b.swept = now
	for who, value := range b.all {
		if b.idle(value, now) {
			delete(b.all, who)
		}
	}
}

// clientPrefix is the address, or the network of 64 bits where one user usually has all addresses of it (IPv6).
func clientPrefix(addr string) string {
	ip, err := netip.ParseAddr(addr)
	if err != nil || ip.Unmap().Is4() {
		return addr
	}
	return netip.PrefixFrom(ip.WithZone(""), 64).Masked().String()
}
