package calibrate

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// Best linear unbiased predictions of ergoStool (Pinheiro and Bates, Mixed-Effects Models in S and S-PLUS, 2000),
// computed with R 4.2.2: lme4 1.1-31, predict(m, newdata) with re.form = NULL and re.form = NA, and their prediction
// error variances from the inverse of Henderson's mixed model equations (Biometrics 31, 1975, 423–447), solve() of the
// 13 × 13 system.
func TestNight_AgainstLme4(t *testing.T) {
	t.Parallel()
	type want struct {
		subject, kind            int
		onDay, average, pev, own float64
	}
	for _, c := range []struct {
		name           string
		cells          []cell
		daySD, reading float64
		want           []want
	}{
		{"balanced", ergoStool(), 1.332465006, 1.100294571, []want{
			{1, 2, 14.153160685, 12.444444444, 0.364366921, 0.331790126},
			{1, 3, 12.486494018, 10.777777778, 0.364366921, 0.331790126},
			{5, 2, 10.949317734, 12.444444444, 0.364366921, 0.331790126},
			{9, 3, 10.564188248, 10.777777778, 0.364366921, 0.331790126},
		}},
		{"without eight observations", stoolWithout(), 1.350362159, 1.122611013, []want{
			{1, 2, 13.429126605, 12.116253361, 0.621718545, 0.438645696},
			{1, 3, 12.449369008, 11.136495765, 0.474167248, 0.400605429},
			{5, 2, 10.748910753, 12.116253361, 0.598128160, 0.438645696},
			{5, 3, 9.769153156, 11.136495765, 0.730412454, 0.400605429},
			{9, 2, 12.439066322, 12.116253361, 1.078316018, 0.438645696},
			{9, 3, 11.459308725, 11.136495765, 1.027686178, 0.400605429},
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			m := &model{o: &observations{gears: []int{0, 1, 2, 3}}, d: designOf(c.cells, 4, 9)}
			m.v = Variances{Day: c.daySD * c.daySD, Reading: c.reading * c.reading}
			for i := range m.d.n {
				m.o.list = append(m.o.list, observation{reading: &fleet.Figure{Day: fmt.Sprint(m.d.day[i] + 1)}})
			}
			require.NoError(t, m.solve())
			chart := &Chart{shaped: &shaped{model: m}, v: m.v, torn: map[int]float64{}}
			for _, w := range c.want {
				p := point{gear: -1, eta: m.beta[w.kind-1], a: make([]float64, 4), q: make([]float64, 1)}
				p.a[w.kind-1] = 1
				chart.night = m.night(fmt.Sprint(w.subject))
				on := chart.night.of(p)
				tonight := Outlook{point: on, onNight: true}
				assert.InDelta(t, w.average, p.eta, 1e-6)
				assert.InDelta(t, w.onDay, on.eta, 1e-6)
				assert.InDelta(t, w.own, chart.covariance(p, p).Total(), 1e-6)
				assert.InDelta(t, w.pev, chart.Covariance(tonight, tonight).Total(), 1e-6)
			}
			chart.night = m.night("a day not yet seen")
			p := point{gear: -1, eta: m.beta[0], a: []float64{1, 0, 0, 0}, q: make([]float64, 1)}
			assert.Equal(t, p, chart.night.of(p))
			unseen := Outlook{point: p, onNight: true}
			assert.InDelta(t, chart.covariance(p, p).Total()+m.v.Day, chart.Covariance(unseen, unseen).Total(), 1e-12)
		})
	}
}

// stoolWithout drops the eight observations of reference-values' unbalanced case.
func stoolWithout() []cell {
	dropped := [][2]int{{1, 2}, {3, 4}, {5, 1}, {5, 3}, {8, 2}, {9, 2}, {9, 3}, {9, 4}}
	return slices.DeleteFunc(ergoStool(), func(c cell) bool {
		return slices.Contains(dropped, [2]int{c.day + 1, c.gear + 1})
	})
}

// nightNotebook is a sled with three gears read twice on each of three days.
func nightNotebook() Notebook {
	travel := 30.0
	n := Notebook{Sled: fleet.Sled{ID: "bluestem", TravelFt: &travel}}
	for i, top := range []float64{250, 265, 280} {
		n.Sled.Gears = append(n.Sled.Gears, fleet.Gear{ID: fmt.Sprint("g", i), Label: fmt.Sprint(i + 1)})
		for day, effect := range []float64{-0.006, 0.001, 0.005} {
			for k := range 2 {
				n.add(i, top*math.Exp(effect+0.003*float64(2*k-1)), fmt.Sprintf("2026-05-%02d", day+1))
			}
		}
	}
	return n
}

func (n *Notebook) add(gear int, ft float64, day string) {
	n.Readings = append(n.Readings, fleet.Figure{
		ID: fmt.Sprint("r", len(n.Readings)), GearID: n.Sled.Gears[gear].ID, DistanceFt: ft, Ended: fleet.ToppedOut,
		MeasuredOn: day, Day: day,
	})
}

var nightVariances = Variances{Day: 1e-4, Reading: 0.49e-4, DayDF: 20, ReadingDF: 60, AssumedReading: 0.49e-4}

func TestNight_MovesAndNarrowsTonightAlone(t *testing.T) {
	t.Parallel()
	n := nightNotebook()
	const tonight = "2026-06-06"
	before := Fit(n, nightVariances)
	same := before.On(tonight)
	assert.Equal(t, before.At(0, 0), same.At(0, 0), "a day without readings is one not yet seen")
	for _, gear := range []int{0, 1, 2} {
		n.add(gear, []float64{250, 265, 280}[gear]*math.Exp(0.016), tonight)
	}
	chart := Fit(n, nightVariances)
	on := chart.On(tonight)
	usual, e := chart.At(1, 0), on.At(1, 0)
	assert.InDelta(t, usual.TopOutFt, e.TopOutFt, 1e-9, "the average stays")
	assert.Equal(t, usual.LowFt, e.LowFt)
	assert.Greater(t, e.TonightFt, usual.TopOutFt+1.5)
	assert.Less(t, e.TonightHighFt-e.TonightLowFt, 0.75*(usual.TonightHighFt-usual.TonightLowFt))
	assert.Equal(t, 3, on.Night().Pulls)
	assert.InDelta(t, 0.012, on.Night().Offset, 0.004)
	start, ok := on.StartFor(1, e.TonightFt)
	require.True(t, ok)
	assert.InDelta(t, 0, start, 1e-6, "a start is for tonight as well")
}

// A gear that is only stated is moved by the night as the others are, and errs as the night's effect does. By hand,
// with one gear read once before and once tonight, β̂ is the mean of the two and δ̂ = k (y₂ − y₁)/2, so that
// Var(δ̂ − δ) is σ_d² (1 − k + k²/2) + σ_r² k²/2.
func TestNight_OfAGearThatIsOnlyStated(t *testing.T) {
	t.Parallel()
	const tonight = "2026-06-06"
	travel := 30.0
	n := Notebook{Sled: fleet.Sled{ID: "bluestem", TravelFt: &travel,
		Gears: []fleet.Gear{{ID: "g0", Label: "1"}, {ID: "g1", Label: "2"}}}}
	n.add(0, 240, "2026-05-01")
	n.add(0, 244, tonight)
	n.add(1, 260, "2026-05-01")
	n.Readings[2].Ended, n.Readings[2].Word = fleet.Stated, &fleet.Word{By: "the owner", PlusMinusFt: 1.96}
	v := nightVariances
	chart := Fit(n, v).On(tonight)
	p, ok := chart.Predict(1, 0)
	require.True(t, ok)
	k := v.Day / (v.Day + v.Reading)
	assert.InDelta(t, k*math.Log(244.0/240)/2, p.Tonight.Log-p.Log, 1e-12)
	got := chart.Mean(p.Tonight)
	assert.InEpsilon(t, v.Day*(1-k+k*k/2), got.Day, 1e-9)
	assert.InEpsilon(t, v.Reading*k*k/2, got.Reading, 1e-9)
	assert.InEpsilon(t, 1/(260.0*260), got.Other, 1e-4)
}

// One pull far off moves nothing until another one agrees with it, or somebody has confirmed it.
func TestNight_AStrayPullWaitsForAnother(t *testing.T) {
	t.Parallel()
	const tonight = "2026-06-06"
	n := nightNotebook()
	before := Fit(n, nightVariances).On(tonight).At(2, 0)
	n.add(0, 250*math.Exp(0.05), tonight)
	on := Fit(n, nightVariances).On(tonight)
	assert.Zero(t, on.Night().Pulls)
	assert.Equal(t, []string{"r18"}, on.Night().Strays)
	assert.InDelta(t, before.TonightFt, on.At(2, 0).TonightFt, 1e-9)

	n.add(1, 265*math.Exp(0.052), tonight)
	agreed := Fit(n, nightVariances).On(tonight)
	assert.Equal(t, 2, agreed.Night().Pulls, "two pulls that agree are not both mistakes")
	assert.Greater(t, agreed.At(2, 0).TonightFt, before.TonightFt+5)

	n.Readings = n.Readings[:len(n.Readings)-1]
	n.Readings[len(n.Readings)-1].Confirmed = true
	confirmed := Fit(n, nightVariances).On(tonight)
	assert.Equal(t, 1, confirmed.Night().Pulls)
	assert.Greater(t, confirmed.At(2, 0).TonightFt, before.TonightFt+3)
}

// One pull that somebody confirmed, however far off, makes none of the others of its night a stray, and neither does it
// hide that one of them is.
func TestNight_AConfirmedStrayAccusesNoOther(t *testing.T) {
	t.Parallel()
	const tonight = "2026-06-06"
	for _, off := range []float64{-0.3, -0.12, 0.05, 0.12, 0.3} {
		for _, night := range []float64{-0.015, 0, 0.015} {
			for pulls := 1; pulls <= 4; pulls++ {
				n := nightNotebook()
				n.add(0, 250*math.Exp(off), tonight)
				n.Readings[len(n.Readings)-1].Confirmed = true
				for i := range pulls {
					g := i % 3
					n.add(g, []float64{250, 265, 280}[g]*math.Exp(night+0.003*float64(i%2)), tonight)
				}
				on := Fit(n, nightVariances).On(tonight)
				assert.Empty(t, on.Night().Strays, "%v off, %d others at %v", off, pulls, night)
				assert.Equal(t, pulls+1, on.Night().Pulls, "%v off, %d others at %v", off, pulls, night)
			}
			n := nightNotebook()
			n.add(0, 250*math.Exp(off), tonight)
			n.Readings[len(n.Readings)-1].Confirmed = true
			n.add(0, 250*math.Exp(night), tonight)
			n.add(1, 265*math.Exp(night), tonight)
			n.add(2, 280*math.Exp(night-0.08), tonight)
			stray := n.Readings[len(n.Readings)-1].ID
			assert.Equal(t, []string{stray}, Fit(n, nightVariances).On(tonight).Night().Strays, "%v %v", off, night)
		}
	}
}
