package guard

import (
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/time/rate"
)

// Rates bound how often one address may ask. They are off where they are 0. The built-in files of the pages are not
// counted: a page needs dozens of them at once, and they cost next to nothing.
type Rates struct {
	Reads, Writes echo.MiddlewareFunc
}

// Why a request is refused with 429.
const (
	slowedWrongKeys = "wrong keys"
	slowedReads     = "reads"
	slowedWrites    = "writes"
)

// SlowedBecause are all the reasons, for the metrics.
func SlowedBecause() []string { return []string{slowedWrongKeys, slowedReads, slowedWrites} }

// What an address may ask at once: what it may in two seconds, and at least so many. Our own assumption: a page asks a
// handful of questions as it opens, and a queue of readings is sent one by one.
const (
	burstSeconds     = 2
	leastBurstReads  = 20
	leastBurstWrites = 5
)

// NewRates takes requests a second. slowedDown is told of every request that came too soon.
func NewRates(reads, writes float64, slowedDown func(because string), now func() time.Time) Rates {
	return Rates{
		Reads:  limit(reads, leastBurstReads, func() { slowedDown(slowedReads) }, now),
		Writes: limit(writes, leastBurstWrites, func() { slowedDown(slowedWrites) }, now),
	}
}

func limit(perSecond float64, leastBurst int, slowedDown func(), now func() time.Time) echo.MiddlewareFunc {
	if perSecond <= 0 {
		return Everybody
	}
	burst := max(int(perSecond*burstSeconds), leastBurst)
	rested := func(l *rate.Limiter, now time.Time) bool { return l.TokensAt(now) >= float64(burst) }
	limiters := newByAddress(func() *rate.Limiter { return rate.NewLimiter(rate.Limit(perSecond), burst) }, rested)
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			var wait time.Duration
			at := now()
			limiters.use(c.RealIP(), at, func(l *rate.Limiter) {
				turn := l.ReserveN(at, 1)
				if wait = turn.DelayFrom(at); wait > 0 {
					turn.CancelAt(at)
				}
			})
			if wait > 0 {
				slowedDown()
				return slowed(wait, "your address asks more often than this installation allows; try again in a moment")
			}
			return next(c)
		}
	}
}
