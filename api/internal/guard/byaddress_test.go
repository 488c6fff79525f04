package guard

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestByAddress_TakesUpBoundedMemory(t *testing.T) {
	t.Parallel()
	now := time.Date(2025, 5, 10, 12, 0, 0, 0, time.UTC)
	type last struct{ seen time.Time }
	b := newByAddress(func() *last { return new(last) },
		func(l *last, now time.Time) bool { return now.Sub(l.seen) > time.Minute })
	see := func(addr string) (before time.Time) {
		b.use(addr, now, func(l *last) { before, l.seen = l.seen, now })
		return before
	}
	for i := range 3 * addressesWatched {
		see(fmt.Sprintf("10.%d.%d.%d", i>>16, i>>8&255, i&255))
	}
	assert.LessOrEqual(t, len(b.all), addressesWatched+1)
	assert.Equal(t, now, see("172.16.0.1"), "shared with everybody who came too late")
	assert.Equal(t, now, see("10.0.0.1"), "who was there before keeps what is his")
	now = now.Add(2 * time.Minute)
	assert.Zero(t, see("172.16.0.2"), "room again")
	assert.LessOrEqual(t, len(b.all), 2)
	for i := range 3 {
		see(fmt.Sprintf("2001:db8::%x", i))
	}
	assert.Equal(t, now, see("2001:db8::ffff"), "one network")
	assert.Zero(t, see("2001:db8:0:1::1"), "another")
}
