package main

import (
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/time/rate"
)

// rates bound how often one address may ask. They are off where they are 0. The built-in files of the pages are not
// counted: a page needs dozens of them at once, and they cost next to nothing.
type rates struct {
	reads, writes echo.MiddlewareFunc
}

// What an address may ask at once: what it may in two seconds, and at least so many. Our own assumption: a page asks a
// handful of questions as it opens, and a queue of readings is sent one by one.
const (
	burstSeconds     = 2
	leastBurstReads  = 20
	leastBurstWrites = 5
)

// newRates takes requests a second.
func newRates(reads, writes float64, m *metrics, now func() time.Time) rates {
	return rates{
		reads:  limit(reads, leastBurstReads, slowedReads, m, now),
		writes: limit(writes, leastBurstWrites, slowedWrites, m, now),
	}
}

func limit(perSecond float64, leastBurst int, why string, m *metrics, now func() time.Time) echo.MiddlewareFunc {
	if perSecond <= 0 {
		return everybody
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
				m.slowed.WithLabelValues(why).Inc()
				return slowed(wait, "your address asks more often than this installation allows; try again in a moment")
			}
			return next(c)
		}
	}
}
