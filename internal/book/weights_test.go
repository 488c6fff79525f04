package book

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// The inputs of these tests are invented; what comes of them was worked out exactly by hand: moments about the tandem.
const toSixDigits = 1e-6

// openWeighed has two weighed sleds, Bluestem (gear A tops out at 230 ft) and Fescue (gear 1 at 236 ft), and Timothy,
// which nobody ever weighed. Blocks are on file for Fescue.
func openWeighed(t testing.TB) (*Book, *at) {
	t.Helper()
	b, clock := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(30), "A"))
	fescue := sledOf("Fescue", ft(31), "1", "2")
	fescue.Loading.Blocks = []fleet.Block{{Lb: 2000, Count: 8}}
	addSled(t, b, fescue)
	addSled(t, b, sledOf("Timothy", ft(32), "X"))
	addReading(t, b, "bluestem", readingOf("A", 0, 230))
	addReading(t, b, "fescue", readingOf("1", 0, 236))
	addReading(t, b, "fescue", readingOf("2", 0, 180))
	addReading(t, b, "timothy", readingOf("X", 0, 231))
	weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{15, 0, 13_360}, [3]float64{30, 0, 16_140},
		[3]float64{0, 12_000, 9_540}, [3]float64{15, 12_000, 18_700}, [3]float64{30, 12_000, 27_740})
	weigh(t, b, "fescue", [3]float64{0, 0, 12_160}, [3]float64{31, 0, 18_240}, [3]float64{0, 12_000, 11_700},
		[3]float64{15.5, 12_000, 20_720}, [3]float64{31, 12_000, 29_560})
	return b, clock
}

func askWeights(t testing.TB, b *Book, change func(q *WeightQuestion)) Weights {
	t.Helper()
	q := WeightQuestion{Sled: "bluestem", Gear: "A", InBoxLb: 16_000, On: "fescue", OnGear: "1", FinishFt: ft(300)}
	change(&q)
	got, err := b.Weights(context.Background(), q)
	require.NoError(t, err)
	return got
}

func TestPanLoad_IsThatOfTheWeighings(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	got, err := b.PanLoad(context.Background(), PanQuestion{Sled: "bluestem", InBoxLb: 12_000, Gear: "A"})
	require.NoError(t, err)
	for i, want := range []float64{10_696.666667, 180.666667, -0.0947222222, 0.0355} {
		assert.InEpsilon(t, want, got.Coefficients[i].Value, toSixDigits)
	}
	assert.InEpsilon(t, 85.41216597, got.Spread.Lb, toSixDigits)
	assert.InDelta(t, 7, got.Spread.DF, 0)
	require.Len(t, got.Places, 3)
	top := got.Places[2]
	assert.Equal(t, "top", top.Where)
	assert.InDelta(t, 230, *top.AtFt, 1e-6)
	assert.InEpsilon(t, 27_760, top.Pan.Lb, toSixDigits, "10696.67 + 30·180.67 + 12000·(30·0.0355 − 0.0947)")
	assert.Nil(t, top.Tandem, "no total was read")
	assert.InDelta(t, 15, *got.Places[1].BoxAtFt, 0)
	assert.Empty(t, got.Checks)
	assert.Empty(t, got.Next, "all six were weighed")
}

func TestPanLoad_OfASledThatWasNeverWeighedSaysWhatToWeigh(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	got, err := b.PanLoad(context.Background(), PanQuestion{Sled: "timothy"})
	require.NoError(t, err)
	assert.Empty(t, got.Weighings)
	assert.Len(t, got.Next, 6)
	assert.Nil(t, got.Places[0].Pan)
	_, err = b.PanLoad(context.Background(), PanQuestion{Sled: "timothy", Gear: "Z", StartFt: 40, InBoxLb: -1})
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.ElementsMatch(t, []string{"gear", "start_ft", "in_box_lb"}, places(e))
}

func TestWeights_AreThoseWorkedOutByHand(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	got := askWeights(t, b, func(*WeightQuestion) {})
	assert.InEpsilon(t, 14_168.57562, got.Answer.InBox.Lb, toSixDigits)
	assert.InEpsilon(t, 2.364624251*150.25, (got.Answer.InBox.HighLb-got.Answer.InBox.LowLb)/2, 1e-4)
	assert.Equal(t, &panload.Rounded{Lb: 14_000, Blocks: []panload.Block{{Lb: 2000, Count: 7}}}, got.Answer.Rounded)
	assert.InDelta(t, 14_000, got.Answer.On.InBoxLb, 0)
	require.Len(t, got.Answer.Remaining, 4)
	for i, want := range []float64{2_477.222222, -663.427495, -159.444444, -159.444444} {
		assert.InEpsilon(t, want, got.Answer.Remaining[i].Lb, 1e-5)
	}
	require.NotNil(t, got.Answer.MeanLb)
	assert.InEpsilon(t, 653.044444, *got.Answer.MeanLb, toSixDigits)
	assert.Empty(t, got.Answer.Cannot)
	assert.Nil(t, got.Gears)
	average := askWeights(t, b, func(q *WeightQuestion) { q.At = panload.OnAverage })
	assert.InEpsilon(t, 12_833.24731, average.Answer.InBox.Lb, toSixDigits)
	overall := askWeights(t, b, func(q *WeightQuestion) { q.At = panload.Overall })
	assert.InEpsilon(t, 13_817.97764, overall.Answer.InBox.Lb, toSixDigits)
	hook := askWeights(t, b, func(q *WeightQuestion) { q.At = panload.AtHook })
	assert.Equal(t, panload.BlocksDoNothing, hook.Answer.Cannot)
	assert.Len(t, hook.Answer.Limits, 3, "the limits are told all the same")
	nearest := askWeights(t, b, func(q *WeightQuestion) { q.OnGear = "" })
	assert.Equal(t, "1", nearest.Answer.On.Gear)
	assert.Equal(t, got.Answer, nearest.Answer)
}

// A sled onto itself takes the same weight; there and back comes back within the rounding; heavier asked is heavier
// answered.
func TestWeights_Properties(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	last := 0.0
	for lb := 8_000.0; lb <= 18_000; lb += 500 {
		self := askWeights(t, b, func(q *WeightQuestion) { q.InBoxLb, q.On, q.OnGear = lb, "bluestem", "A" })
		assert.InDelta(t, lb, self.Answer.InBox.Lb, 1e-6)
		there := askWeights(t, b, func(q *WeightQuestion) { q.InBoxLb = lb })
		assert.Greater(t, there.Answer.InBox.Lb, last)
		last = there.Answer.InBox.Lb
		back := askWeights(t, b, func(q *WeightQuestion) {
			q.Sled, q.Gear, q.On, q.OnGear, q.InBoxLb = "fescue", "1", "bluestem", "A", there.Answer.Rounded.Lb
		})
		const half, gain = 1_000, 1.1 // of a block, and the most that a pound on the one is worth on the other here
		assert.LessOrEqual(t, math.Abs(back.Answer.InBox.Lb-lb), half*gain)
	}
}

// A setting onto itself keeps its weight, whatever the blocks on file make and wherever it is matched.
func TestWeights_OfTheSettingItselfAreTheSame(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	for _, at := range panload.MatchesAt() {
		got := askWeights(t, b, func(q *WeightQuestion) {
			q.Sled, q.Gear, q.On, q.OnGear, q.InBoxLb, q.At, q.FinishFt = "fescue", "1", "fescue", "1", 11_500, at,
				ft(200)
		}).Answer
		assert.True(t, got.OwnSetting)
		assert.Equal(t, panload.Load{Lb: 11_500, LowLb: 11_500, HighLb: 11_500}, got.InBox)
		assert.Nil(t, got.Rounded, "blocks of 2,000 lb do not make it")
		assert.Empty(t, got.Cannot)
		for _, r := range got.Remaining {
			assert.InDelta(t, 0, r.HighLb-r.LowLb+math.Abs(r.Lb), toSixDigits)
		}
	}
	moved := askWeights(t, b, func(q *WeightQuestion) {
		q.Sled, q.Gear, q.On, q.OnGear = "fescue", "1", "fescue", "2"
	}).Answer
	assert.False(t, moved.OwnSetting)
}

func TestWeights_OutOfReachRanksEveryGearAndStart(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	got := askWeights(t, b, func(q *WeightQuestion) { q.OnGear, q.InBoxLb = "", 22_000 })
	assert.Equal(t, panload.MoreThanOnHand, got.Answer.Cannot)
	require.NotEmpty(t, got.Gears)
	gears, settings := map[string]bool{}, map[string]bool{}
	for i, g := range got.Gears {
		gears[g.On.Gear] = true
		setting := fmt.Sprintf("%s from %g ft", g.On.Gear, g.On.StartFt)
		assert.False(t, settings[setting], "%s is there twice", setting)
		settings[setting] = true
		if i > 0 && (got.Gears[i-1].Cannot == "") == (g.Cannot == "") {
			assert.GreaterOrEqual(t, g.MeanAbsLb, got.Gears[i-1].MeanAbsLb)
		}
	}
	assert.Len(t, gears, 2)
	named := askWeights(t, b, func(q *WeightQuestion) { q.InBoxLb = 22_000 })
	assert.Nil(t, named.Gears, "the gear was not left open")
}

// A gear of a ranking is told with what goes on the pan, as where it is asked for by itself.
func TestWeights_RankGearsWithWhatGoesOnThePan(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	ask := func(change func(q *WeightQuestion)) Weights {
		return askWeights(t, b, func(q *WeightQuestion) {
			q.OnGear, q.At, q.InBoxLb, q.OnPanLb = "", panload.HookAndFinish, 22_000, 6000
			change(q)
		})
	}
	ranked := ask(func(*WeightQuestion) {}).Gears
	require.NotEmpty(t, ranked)
	for _, g := range ranked {
		a := ask(func(q *WeightQuestion) { q.OnGear, q.OnStartFt = g.On.Gear, &g.On.StartFt }).Answer
		assert.Greater(t, g.OnPanLb, 0.0)
		assert.InDelta(t, a.OnPanLb, g.OnPanLb, 1e-9)
	}
}

// Of a sled that was weighed at the top alone nobody knows what lies on its pan at the hook, and no answer says so.
func TestWeights_TellNothingOfTheHookWhereItWasNeverWeighed(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	brome := sledOf("Brome", ft(31), "1")
	brome.Loading.Blocks = []fleet.Block{{Lb: 2000, Count: 8}}
	addSled(t, b, brome)
	addReading(t, b, "brome", readingOf("1", 0, 236))
	weigh(t, b, "brome", [3]float64{31, 0, 18_240}, [3]float64{31, 12_000, 29_560})
	got := askWeights(t, b, func(q *WeightQuestion) { q.On, q.OnGear, q.InBoxLb = "brome", "", 22_000 })
	assert.Equal(t, panload.MoreThanOnHand, got.Answer.Cannot)
	require.NotEmpty(t, got.Gears)
	assert.Nil(t, got.Gears[0].LeftAt("hook"))
	assert.NotNil(t, got.Gears[0].LeftAt("finish"))

	show := weighedShow(t, b)
	candidates, err := b.Candidates(context.Background(), show.ID)
	require.NoError(t, err)
	for _, c := range candidates.Items {
		if c.Sled == "brome" {
			assert.Equal(t, 1, c.Weights.Solved)
			assert.Nil(t, c.Weights.HookMeanLb)
			assert.NotNil(t, c.Weights.FinishMeanLb)
			assert.NotNil(t, c.Weights.WorstLb)
		}
	}
}

func TestWeights_SayWhyThereIsNone(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	never := askWeights(t, b, func(q *WeightQuestion) { q.On, q.OnGear = "timothy", "" })
	assert.Equal(t, panload.NeverWeighed, never.Answer.Cannot)
	assert.Equal(t, "timothy", never.Answer.CannotSled)
	addSled(t, b, sledOf("Brome", ft(30), "slow"))
	weigh(t, b, "brome", [3]float64{0, 0, 10_720})
	unknown := askWeights(t, b, func(q *WeightQuestion) { q.On, q.OnGear = "brome", "" })
	assert.Equal(t, panload.TopOutUnknown, unknown.Answer.Cannot)
	addSled(t, b, sledOf("Sedge", nil, "S"))
	addReading(t, b, "sedge", readingOf("S", 0, 230))
	weigh(t, b, "sedge", [3]float64{0, 0, 10_720})
	noTravel := askWeights(t, b, func(q *WeightQuestion) { q.On, q.OnGear = "sedge", "S" })
	assert.Equal(t, panload.TravelUnknown, noTravel.Answer.Cannot)
	_, err := b.Weights(context.Background(), WeightQuestion{Sled: "bluestem", Gear: "Z", InBoxLb: -1, On: "oat",
		FinishFt: ft(0), OnOnPanLb: ft(1e9)})
	var e *fleet.Error
	require.ErrorAs(t, err, &e)
	assert.ElementsMatch(t, []string{"gear", "in_box_lb", "on", "finish_ft", "on_on_pan_lb"}, places(e))
	_, err = b.Weights(context.Background(), WeightQuestion{Sled: "oat", On: "fescue"})
	assert.True(t, isKind(err, fleet.NotFound))
}

// weighedShow is a show on Fescue with a class that has a weight and one that has none.
func weighedShow(t testing.TB, b *Book) fleet.Show {
	t.Helper()
	heavy := classOf("Super Stock", "bluestem", "A", 0)
	heavy.Setting.InBoxLb = ft(16_000)
	addClass(t, b, heavy)
	addClass(t, b, classOf("Antique", "bluestem", "A", 0))
	return addShow(t, b, fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "fescue", FullPullFt: ft(300),
		Classes: []string{"super-stock", "antique"}})
}

func TestSheet_SolvesTheWeightWhereASledWasWeighedAndAClassHasOne(t *testing.T) {
	t.Parallel()
	b, clock := openWeighed(t)
	ctx := context.Background()
	show := weighedShow(t, b)
	sheet, err := b.Sheet(ctx, show.ID, "", false)
	require.NoError(t, err)
	w := sheet.Rows[0].Weight
	require.NotNil(t, w)
	assert.InEpsilon(t, 14_168.57562, w.InBox.Lb, 1e-4)
	assert.InDelta(t, 14_000, w.Rounded.Lb, 0)
	assert.InDelta(t, 300, w.FinishFt, 0, "the full pull, where nobody said where the class ends")
	assert.Equal(t, "1", w.On.Gear)
	assert.Nil(t, sheet.Rows[1].Weight, "a class without a weight")
	assert.Equal(t, TopsOutBefore, sheet.FullPull(sheet.Rows[0].Tonight))

	other, err := b.Sheet(ctx, show.ID, "timothy", false)
	require.NoError(t, err)
	require.NotNil(t, other.Rows[0].Weight)
	assert.Equal(t, panload.NeverWeighed, other.Rows[0].Weight.Cannot)

	candidates, err := b.Candidates(ctx, show.ID)
	require.NoError(t, err)
	for _, c := range candidates.Items {
		require.NotNil(t, c.Weights, c.Sled)
		assert.Equal(t, c.Sled != "timothy", c.Weights.Weighed, c.Sled)
		assert.Equal(t, 1, c.Weights.Classes)
	}
	own := candidates.Items[0]
	require.Equal(t, "bluestem", own.Sled)
	assert.InDelta(t, 0, *own.Weights.HookMeanLb, 1, "the class's own sled")

	// The sheet of a show that is over keeps the weight it was run with.
	before := *w
	clock.now = clock.now.AddDate(0, 3, 0)
	weigh(t, b, "fescue", [3]float64{31, 12_000, 25_000})
	sheet, err = b.Sheet(ctx, show.ID, "", false)
	require.NoError(t, err)
	assert.True(t, sheet.Show.Over)
	assert.Equal(t, &before, sheet.Rows[0].Weight)
}

// What lies on the pan of the sled that a class is used to lies on the other one as well, unless something else is
// asked: so the sheet and the question agree.
func TestWeights_LayOnTheOtherPanWhatLiesOnTheFirst(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	class := classOf("Super Stock", "bluestem", "A", 0)
	class.Setting.InBoxLb, class.Setting.OnPanLb = ft(12_000), ft(2000)
	addClass(t, b, class)
	show := addShow(t, b, fleet.Show{Name: "Harvest Pull", Date: "2026-07-18", Sled: "fescue", FullPullFt: ft(300),
		Classes: []string{"super-stock"}})
	sheet, err := b.Sheet(context.Background(), show.ID, "", false)
	require.NoError(t, err)
	w := sheet.Rows[0].Weight
	require.NotNil(t, w)
	assert.InDelta(t, 2000, w.OnPanLb, 0)
	ask := func(on *float64) WeightAnswer {
		return askWeights(t, b, func(q *WeightQuestion) { q.InBoxLb, q.OnPanLb, q.OnOnPanLb = 12_000, 2000, on }).Answer
	}
	assert.Equal(t, w.InBox, ask(nil).InBox)
	assert.InDelta(t, 2000, ask(nil).On.OnPanLb, 0)
	assert.Equal(t, w.InBox, ask(ft(2000)).InBox)
	bare := ask(ft(0))
	assert.InDelta(t, 0, bare.On.OnPanLb, 0)
	assert.InDelta(t, w.InBox.Lb+2000/0.94583333, bare.InBox.Lb, 0.01, "the pan's share comes out of the box")
}

func TestSheet_SaysNothingOfWeightsToACrewThatNeverWeighed(t *testing.T) {
	t.Parallel()
	b, _, show := openShow(t)
	write(t, b, func(w *Writer) error {
		c := classOf("Antique", "bluestem", "C", 0)
		c.Setting.InBoxLb = ft(12_000)
		_, err := w.ReplaceClass("antique", anyClass, c, false)
		return err
	})
	sheet, err := b.Sheet(context.Background(), show.ID, "", false)
	require.NoError(t, err)
	for _, row := range sheet.Rows {
		assert.Nil(t, row.Weight)
		assert.Empty(t, sheet.FullPull(row.Tonight))
	}
	candidates, err := b.Candidates(context.Background(), show.ID)
	require.NoError(t, err)
	for _, c := range candidates.Items {
		assert.Nil(t, c.Weights)
	}
}

func TestFullPull_IsToldByTheIntervalOfTheTopOut(t *testing.T) {
	t.Parallel()
	b, _ := openWeighed(t)
	show := weighedShow(t, b)
	for full, want := range map[float64]FullPull{300: TopsOutBefore, 236: TopsOutThere, 200: TopsOutAfter} {
		t.Run(strconv.Itoa(int(full)), func(t *testing.T) {
			show.FullPullFt = &full
			write(t, b, func(w *Writer) (err error) {
				show, err = w.ReplaceShow(show.ID, anyShow, show)
				return err
			})
			sheet, err := b.Sheet(context.Background(), show.ID, "", false)
			require.NoError(t, err)
			assert.Equal(t, want, sheet.FullPull(sheet.Rows[0].Tonight))
		})
	}
}

// A box that a measured shape brings up early is up early for what lies on the pan, too: φ = √(1 − s/30).
func TestPanLoad_GoesByTheMeasuredShape(t *testing.T) {
	t.Parallel()
	b, _ := openBook(t)
	addSled(t, b, sledOf("Bluestem", ft(30), "A", "B", "C"))
	for k, day := range []string{"2026-05-01", "2026-05-02", "2026-05-03"} {
		for gear, full := range map[string]float64{"A": 280, "B": 235, "C": 200} {
			for _, start := range []float64{0, 5, 10, 15} {
				r := readingOf(gear, start, math.Round(full*math.Sqrt(1-start/30)*(1+0.004*float64(k-1))))
				r.MeasuredOn = day
				addReading(t, b, "bluestem", r)
			}
		}
	}
	weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{30, 0, 16_140}, [3]float64{0, 12_000, 9_540},
		[3]float64{30, 12_000, 27_740})
	snap, err := b.current(context.Background())
	require.NoError(t, err)
	s := snap.sledState("bluestem")
	require.Equal(t, fleet.MeasuredShape, s.chart().Shape())
	side, cannot := weightSide{state: s, gear: 1, topOut: pullOutOf(s.chart().At(1, 0))}.side()
	require.Empty(t, cannot)
	for _, at := range []float64{60, 120, 160, 200} {
		share, ok := s.chart().BoxShare(1, 0, at)
		require.True(t, ok)
		assert.InDelta(t, 30*share, side.Pull.BoxAt(at), 0.1, "at %g ft", at)
	}
	got, err := b.PanLoad(context.Background(), PanQuestion{Sled: "bluestem", InBoxLb: 12_000, Gear: "B"})
	require.NoError(t, err)
	middle := got.Places[1]
	assert.InDelta(t, 15, *middle.BoxAtFt, 1e-9)
	share, _ := s.chart().BoxShare(1, 0, *middle.AtFt)
	assert.InDelta(t, 15, 30*share, 0.1)
}

// Where the readings imply a longer travel than was taped, the box stands at the taped one all the same; a shorter one
// is believed.
func TestPanLoad_HasItsTopWhereTheBoxCanStand(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		at    [3]float64 // top-outs from full back, 10 and 20 ft forward
		chart float64
		top   float64
	}{
		{"implied longer", [3]float64{240, 164, 88}, 31.58, 30},
		{"implied shorter", [3]float64{240, 156, 72}, 28.57, 28.57},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			b, _ := openBook(t)
			addSled(t, b, sledOf("Bluestem", ft(30), "A"))
			for _, day := range []string{"2026-05-01", "2026-05-02", "2026-05-03"} {
				for i, out := range c.at {
					r := readingOf("A", float64(10*i), out)
					r.MeasuredOn = day
					addReading(t, b, "bluestem", r)
				}
			}
			weigh(t, b, "bluestem", [3]float64{0, 0, 10_720}, [3]float64{0, 12_000, 9_540})
			snap, err := b.current(context.Background())
			require.NoError(t, err)
			s := snap.sledState("bluestem")
			require.InDelta(t, c.chart, *s.chart().TravelFt(), 0.05)
			got, err := b.PanLoad(context.Background(), PanQuestion{Sled: "bluestem", InBoxLb: 12_000, Gear: "A"})
			require.NoError(t, err)
			assert.InDelta(t, c.top, *got.Places[2].BoxAtFt, 0.05)
			assert.InDelta(t, c.top/2, *got.Places[1].BoxAtFt, 0.05)
			assert.InDelta(t, c.top, *got.MarkFt(panload.Top), 0.05)
			assert.InDelta(t, c.top, s.panSled().TravelFt, 0.05)
			side, cannot := weightSide{state: s, topOut: pullOutOf(s.chart().At(0, 0))}.side()
			require.Empty(t, cannot)
			assert.InDelta(t, c.top, side.Pull.BoxAt(300), 0.05)
		})
	}
}
