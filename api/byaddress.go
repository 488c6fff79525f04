package main

import (
	"net/netip"
	"sync"
	"time"
)

// How many addresses are remembered. Our own choice: some megabytes.
const addressesWatched = 10_000

// everybodyElse is the address under which the rest are counted together.
const everybodyElse = ""

// byAddress keeps something for every address, in bounded memory. Whatever is idle may be forgotten; where there are
// too many that are not, the rest share one.
type byAddress[T any] struct {
	fresh func() *T
	idle  func(*T, time.Time) bool
	mu    sync.Mutex
	all   map[string]*T
	swept time.Time // when idle ones were looked for last
}

func newByAddress[T any](fresh func() *T, idle func(*T, time.Time) bool) *byAddress[T] {
	return &byAddress[T]{fresh: fresh, idle: idle, all: map[string]*T{}}
}

// use lets do have what is kept for an address, alone.
func (b *byAddress[T]) use(addr string, now time.Time, do func(*T)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	who := neighbourhood(addr)
	if _, watched := b.all[who]; !watched && len(b.all) >= addressesWatched {
		b.forget(now)
		if len(b.all) >= addressesWatched {
			who = everybodyElse
		}
	}
	kept, watched := b.all[who]
	if !watched {
		kept = b.fresh()
		b.all[who] = kept
	}
	do(kept)
}

// forget drops what is idle. It looks at all of them, so it does so once a second at most: a flood of addresses must not
// make it the slow part.
func (b *byAddress[T]) forget(now time.Time) {
	if now.Sub(b.swept) < time.Second {
		return
	}
	b.swept = now
	for who, kept := range b.all {
		if b.idle(kept, now) {
			delete(b.all, who)
		}
	}
}

// neighbourhood is the address, or the network of 64 bits where one user usually has all addresses of it (IPv6).
func neighbourhood(addr string) string {
	ip, err := netip.ParseAddr(addr)
	if err != nil || ip.Unmap().Is4() {
		return addr
	}
	network, err := ip.WithZone("").Prefix(64)
	if err != nil {
		return addr
	}
	return network.String()
}
