package guard

import "time"

// How many wrong keys an address may try in a minute. Our own choice.
const (
	wrongPerMinute    = 20
	wrongKeysTimespan = time.Minute
)

// wrongKeys counts wrong keys by address, in bounded memory.
type wrongKeys struct {
	now func() time.Time
	by  *byAddress[tries]
}

type tries struct {
	since time.Time
	count int
}

func newWrongKeys(now func() time.Time) *wrongKeys {
	past := func(t *tries, now time.Time) bool { return now.Sub(t.since) >= wrongKeysTimespan }
	return &wrongKeys{now: now, by: newByAddress(func() *tries { return new(tries) }, past)}
}

// another notes a wrong key and says how long that address has to wait, 0 while it may go on.
func (w *wrongKeys) another(addr string) (wait time.Duration) {
	now := w.now()
	w.by.use(addr, now, func(t *tries) {
		if now.Sub(t.since) >= wrongKeysTimespan {
			*t = tries{since: now}
		}
		t.count++
		if t.count > wrongPerMinute {
			wait = t.since.Add(wrongKeysTimespan).Sub(now)
		}
	})
	return wait
}
