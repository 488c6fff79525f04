package book

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"evenpull/internal/driveline"
	"evenpull/internal/fleet"
)

// tapedSD is the standard uncertainty of a taped travel in feet, as the charts take it. An assumption of our own.
const tapedSD = 0.1

// Driveline is what a sled's parts predict from full back, beside what was measured, at one revision of the fleet.
type Driveline struct {
	Revision        int64
	Sled            fleet.Sled
	Gears           []GearedGear  // in the order of the lever
	Factor          *GearedFactor // nil where no gear is both measured and geared
	VariesWithSpeed bool          // the factor runs evenly with gear speed; it is then that at the middle of the gears
	StandsOut       []StandsOut
}

// GearedGear is one gear, its feet nil where they are not known.
type GearedGear struct {
	Label              string
	GearedFt           *float64         // by the parts alone
	MeasuredFt         *float64         // from readings in this gear, those carried over a change included
	MeasuredOverGeared *float64         // of the way to the top, take-up aside
	Missing            []driveline.Part // that would have to be known
}

// GearedFactor is measured over geared for the whole sled with its 95 % interval.
type GearedFactor struct {
	Factor, Low, High float64
}

// StandsOut is a gear that does not go with the others.
type StandsOut struct {
	Gear   string
	OffPct float64 // of what the others say; positive was measured farther
}

// Driveline compares what the parts predict with the chart. A sled that is not there is NotFound.
func (b *Book) Driveline(ctx context.Context, sled string) (Driveline, error) {
	snap, state, err := b.currentSled(ctx, sled)
	if err != nil {
		return Driveline{}, err
	}
	s, chart := state.Sled, state.chart()
	d := Driveline{Revision: snap.revision, Sled: s, Gears: make([]GearedGear, len(s.Gears))}
	for i, g := range s.Gears {
		of := GearedGear{Label: g.Label, Missing: partsOf(s).Missing(gearOf(g))}
		if chart.TravelFt() == nil {
			of.Missing = append(of.Missing, driveline.Travel)
		}
		geared, known := state.gearedLog(i)
		if known {
			of.GearedFt = new(chart.TakeUpFt() + math.Exp(geared))
		}
		if e := chart.At(i, 0); isMeasured(e.Basis) {
			of.MeasuredFt = &e.TopOutFt
			if known {
				of.MeasuredOverGeared = new((e.TopOutFt - chart.TakeUpFt()) / math.Exp(geared))
			}
		}
		d.Gears[i] = of
	}
	f, df, ok := state.factor()
	if !ok {
		return d, nil
	}
	low, high := f.Interval(df)
	d.Factor, d.VariesWithSpeed = &GearedFactor{math.Exp(f.Log), low, high}, f.Slope != 0
	for _, out := range f.StandOut {
		d.StandsOut = append(d.StandsOut, StandsOut{s.Gears[out.Gear].Label, 100 * math.Expm1(out.Off)})
	}
	return d, nil
}

// isMeasured says whether a number rests on readings in the gear itself.
func isMeasured(b fleet.Basis) bool {
	return b == fleet.Measured || b == fleet.Interpolated || b == fleet.Extended || b == fleet.Carried
}

// maxLogBoxPerGround is a logarithm of box feet per foot of ground that no drive line reaches, either way. Parts in
// wrong units can imply it.
const maxLogBoxPerGround = 15

// boxPerGroundByParts is box feet per foot of ground of a gear by the parts alone; false when a part is unknown.
func (s sledState) boxPerGroundByParts(gear int) (float64, bool) {
	r, ok := partsOf(s.Sled).BoxPerGround(gearOf(s.Sled.Gears[gear]))
	return r, ok && math.Abs(math.Log(r)) < maxLogBoxPerGround
}

// gearedLog is the logarithm of a gear's way to the top from full back, ln(L/r), by the parts alone, with the travel L
// of the chart; false when a part is unknown.
func (s sledState) gearedLog(gear int) (float64, bool) {
	r, ok := s.boxPerGroundByParts(gear)
	travel := s.chart().TravelFt()
	if !ok || travel == nil {
		return 0, false
	}
	return math.Log(*travel / r), true
}

// factor fits measured over geared from the gears that are both, with the covariance of the chart, known to df degrees
// of freedom, and that of the travel, which all predictions share. False without such a gear.
func (s sledState) factor() (f driveline.Factor, df float64, ok bool) {
	chart := s.chart()
	var compared []driveline.Compared
	for i := range s.Sled.Gears {
		geared, known := s.gearedLog(i)
		measured, has := chart.Predict(i, 0)
		if known && has && isMeasured(measured.Basis) {
			compared = append(compared, driveline.Compared{
				Gear: i, LogRatio: measured.Log - geared, LogSpeed: math.Log(*chart.TravelFt()) - geared,
			})
		}
	}
	if len(compared) == 0 {
		return driveline.Factor{}, 0, false
	}
	cov := mat.NewSymDense(len(compared), nil)
	taped := math.Pow(tapedSD / *chart.TravelFt(), 2)
	total, day, reading := 0.0, 0.0, 0.0
	for a, of := range compared {
		at, _ := chart.Predict(of.Gear, 0)
		for b, other := range compared[:a+1] {
			with, _ := chart.Predict(other.Gear, 0)
			cov.SetSym(a, b, chart.Covariance(at.Outlook, with.Outlook).Total()+taped)
		}
		total, day, reading = total+at.Spread.Total(), day+at.Spread.Day, reading+at.Spread.Reading
	}
	// Effective degrees of freedom of the mean variance: Welch and Satterthwaite; JCGM 100:2008, equation G.2b.
	v := chart.Variances()
	df = total * total / (day*day/v.DayDF + reading*reading/v.ReadingDF)
	f, ok = driveline.FitFactor(compared, cov, df)
	return f, df, ok
}
