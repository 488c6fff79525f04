package guard

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestWrongKeys_AreForgottenAfterAMinuteAndCountedByAddress(t *testing.T) {
	t.Parallel()
	now := time.Date(2025, 5, 10, 12, 0, 0, 0, time.UTC)
	w := newWrongKeys(func() time.Time { return now })
	for range wrongPerMinute {
		assert.Zero(t, w.another("192.0.2.1"))
	}
	now = now.Add(20 * time.Second)
	assert.Equal(t, 40*time.Second, w.another("192.0.2.1"))
	assert.Zero(t, w.another("192.0.2.2"), "another address")
	now = now.Add(40 * time.Second)
	assert.Zero(t, w.another("192.0.2.1"), "a minute later")

	for i := range wrongPerMinute { // one user has a whole network of them
		assert.Zero(t, w.another(fmt.Sprintf("2001:db8::%x", i)))
	}
	assert.NotZero(t, w.another("2001:db8::ffff"))
	assert.Zero(t, w.another("2001:db8:0:1::1"), "another network")
}

func TestWrongKeys_TakeUpBoundedMemory(t *testing.T) {
	t.Parallel()
	now := time.Date(2025, 5, 10, 12, 0, 0, 0, time.UTC)
	w := newWrongKeys(func() time.Time { return now })
	for i := range 3 * addressesWatched {
		w.another(fmt.Sprintf("10.%d.%d.%d", i>>16, i>>8&255, i&255))
	}
	assert.LessOrEqual(t, len(w.by.all), addressesWatched+1)
	assert.NotZero(t, w.another("172.16.0.1"), "everybody else is counted together")
	now = now.Add(wrongKeysTimespan)
	assert.Zero(t, w.another("172.16.0.1"))
	assert.LessOrEqual(t, len(w.by.all), 2)
}
