package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

func TestWeight_IsWrittenAsPeopleReadIt(t *testing.T) {
	t.Parallel()
	for lb, want := range map[float64][2]string{
		0: {"0 lb", "0 kg"}, 999.6: {"1,000 lb", "453 kg"}, 14_000: {"14,000 lb", "6,350 kg"},
		1_234_567: {"1,234,567 lb", "559,990 kg"}, 1e12: {"2,000,000 lb", "907,185 kg"},
	} {
		assert.Equal(t, want[0], plain(Weight(lb, fleet.InFeet)))
		assert.Equal(t, want[1], plain(Weight(lb, fleet.InMeters)))
	}
	assert.Equal(t, "27,760 ± 150 lb", plain(loadText(panload.Load{Lb: 27_763, LowLb: 27_613, HighLb: 27_913},
		fleet.InFeet)))
	assert.Equal(t, "27,763 ± 42 lb", plain(loadText(panload.Load{Lb: 27_763, LowLb: 27_721, HighLb: 27_805},
		fleet.InFeet)))
	assert.Equal(t, "27,763 ± 1 lb", plain(loadText(panload.Load{Lb: 27_763, LowLb: 27_763, HighLb: 27_763},
		fleet.InFeet)),
		"a ± never reads as zero")
	assert.Equal(t, "−300 ± 150 lb", plain(loadText(panload.Load{Lb: -302, LowLb: -452, HighLb: -152}, fleet.InFeet)))
	assert.Equal(t, "0 ± 150 lb", plain(loadText(panload.Load{Lb: -2, LowLb: -152, HighLb: 148}, fleet.InFeet)))
	assert.Equal(t, "7 blocks of 2,000 lb and 1 of 500 lb",
		plain(Blocks([]panload.Block{{Lb: 2000, Count: 7}, {Lb: 500, Count: 1}}, fleet.InFeet)))
	assert.Equal(t, "1 block of 500 lb", plain(Blocks([]panload.Block{{Lb: 500, Count: 1}}, fleet.InFeet)))
	assert.Equal(t, "no blocks", Blocks(nil, fleet.InFeet))
}

var pans = WeightSides{
	Asked: PullSide{Sled: "bluestem", Name: "Bluestem", Gear: "A"},
	On:    PullSide{Sled: "fescue", Name: "Fescue", Gear: "1"},
}

func answered() panload.Answer {
	ft := -1.6
	return panload.Answer{
		InBox: panload.Load{Lb: 14_168, LowLb: 13_813, HighLb: 14_523}, InFeet: &ft,
		Rounded: &panload.Rounded{Lb: 14_000, Blocks: []panload.Block{{Lb: 2000, Count: 7}}},
		Remaining: []panload.Remainder{
			{Where: "hook", Load: panload.Load{Lb: 2_477, LowLb: 2_200, HighLb: 2_754}},
			{Where: "top-out", Sled: "bluestem", AtFt: 230, Load: panload.Load{Lb: -663, LowLb: -950, HighLb: -376}},
			{Where: "finish", AtFt: 300, Load: panload.Load{Lb: -159, LowLb: -500, HighLb: 182}},
		},
	}
}

func TestToWeight_SaysWhatIsSetAndWhatRemains(t *testing.T) {
	t.Parallel()
	said := ToWeight(answered(), panload.AtFinish, pans, fleet.InFeet)
	assert.Equal(t, "14,000 lb in the box of Fescue: 7 blocks of 2,000 lb.", plain(said.Headline))
	assert.Equal(t, "Exactly it would be 14,170 ± 360 lb.", plain(said.Sure))
	assert.Empty(t, said.Cannot)
	want := []string{
		"At the hook 2,480 ± 280 lb more on the pan of Fescue than on that of Bluestem.",
		"At 230 ft, where Bluestem tops out, 660 ± 290 lb less on the pan of Fescue than on that of Bluestem.",
		"At the finish (300 ft) 160 ± 340 lb less on the pan of Fescue than on that of Bluestem. About 2 ft of " +
			"top-out do as much.",
	}
	for i, line := range said.Remaining {
		assert.Equal(t, want[i], plain(line))
	}
	metric := ToWeight(answered(), panload.AtFinish, pans, fleet.InMeters)
	assert.Equal(t, "6,350 kg in the box of Fescue: 7 blocks of 907 kg.", plain(metric.Headline))
	assert.Contains(t, plain(metric.Remaining[1]), "At 70.1 m, where Bluestem tops out, 300 ± 130 kg less")
	bare := answered()
	bare.Rounded, bare.OnPanLb = nil, 500
	both := ToWeight(bare, panload.HookAndFinish, pans, fleet.InFeet)
	assert.Equal(t, "14,170 lb in the box of Fescue. And 500 lb on its pan.", plain(both.Headline))
	bare.OnPanLb = 0
	headline := ToWeight(bare, panload.HookAndFinish, pans, fleet.InFeet).Headline
	assert.Contains(t, plain(headline), "And 0 lb on its pan.")
	laid := answered()
	laid.OnPanLb = 2000
	assert.Equal(t, "14,000 lb in the box of Fescue: 7 blocks of 2,000 lb. And 2,000 lb on its pan.",
		plain(ToWeight(laid, panload.AtFinish, pans, fleet.InFeet).Headline))
}

func TestWeightCannot_HasASentenceForEveryReason(t *testing.T) {
	t.Parallel()
	most := 13_000.0
	a := answered()
	a.Limits = []panload.Limit{{What: "box", MostLb: &most, Lb: 14_000, Known: true, Passed: true}}
	for reason, want := range map[panload.Cannot]string{
		"":                      "",
		panload.NeverWeighed:    "Fescue is not weighed.",
		panload.TopOutUnknown:   "It is not known where Fescue tops out.",
		panload.TravelUnknown:   "The travel of Fescue is not known: tape it.",
		panload.NotWeighed:      "weigh both sleds at back and top",
		panload.BlocksDoNothing: "hardly change the load on the pan there",
		panload.BelowEmpty:      "With nothing in its box the pan of Fescue carries more already.",
		panload.MoreThanOnHand:  "That takes about 14,170 lb in the box of Fescue",
		panload.BeyondLimit:     "In the box: 14,000 lb would pass the 13,000 lb on file.",
		panload.TooUncertain:    "The weighings leave ± 360 lb: too much to set a sled by.",
	} {
		a.Cannot = reason
		got := plain(weightCannot(a, pans.names(fleet.InFeet), fleet.InFeet))
		assert.Contains(t, got, want, reason)
		assert.Equal(t, reason == "", got == "", reason)
		said := ToWeight(a, panload.AtFinish, pans, fleet.InFeet)
		assert.Equal(t, reason != "", said.Headline == "No weight for Fescue.", reason)
	}
}

func TestWeightLimit_NeverSaysThatAWeightIsSafe(t *testing.T) {
	t.Parallel()
	most := 16_000.0
	for want, l := range map[string]panload.Limit{
		"On the pan: no limit on file: ask the maker.": {What: "pan"},
		"In the box: 14,000 lb of the 16,000 lb on file.": {What: "box", MostLb: &most,
			Lb: 14_000, Known: true},
		"On the tandem: at most 16,000 lb on file; what would come on it is not known.": {What: "tandem",
			MostLb: &most},
		"On the tandem: −300 lb of the 16,000 lb on file.": {What: "tandem", MostLb: &most, Lb: -300, Known: true},
		"On the pan: 18,000 lb would pass the 16,000 lb on file.": {What: "pan", MostLb: &most,
			Lb: 18_000, Known: true, Passed: true},
	} {
		got := plain(WeightLimit(l, fleet.InFeet))
		assert.Equal(t, want, got)
		assert.NotContains(t, got, "safe")
	}
}

func TestPanCheck_HasSentencesForEveryCodeAndMistake(t *testing.T) {
	t.Parallel()
	of := func(string) fleet.Weighing {
		return fleet.Weighing{WeighedOn: "2026-05-08", BoxAtFt: 15.5, InBoxLb: 12_000}
	}
	for _, code := range []panload.CheckCode{
		panload.OutOfLine, panload.MiddleOff, panload.SameDiffers, panload.PartsNotTotal, panload.TotalNotBlocks,
		panload.FallsForward, panload.LengthOff, panload.BoxOff, panload.CenterOff,
	} {
		detail, action := PanCheck(panload.Check{Code: code, Weighing: "w", Others: []string{"v"}, Noted: 21_580,
			Expected: 20_660},
			of, fleet.InFeet)
		assert.Regexp(t, `^[A-Z].*\.$`, detail, code)
		assert.Regexp(t, `^[A-Z].*\.$`, action, code)
	}
	seen := map[string]bool{}
	for _, mend := range []panload.Mend{"", panload.OtherMark, panload.PanIsTandem, panload.Kilograms,
		panload.BlockMore,
		panload.BlockLess} {
		detail, _ := PanCheck(panload.Check{Code: panload.OutOfLine, Weighing: "w", Noted: 21_580, Expected: 20_660,
			Mend: mend}, of,
			fleet.InFeet)
		assert.Contains(t, plain(detail),
			"The weighing of May 8, 2026 with the box at 15.5 ft and 12,000 lb in it read 21,580 lb, "+
				"and the others say about 20,660 lb.")
		assert.False(t, seen[detail], mend)
		seen[detail] = true
	}
	detail, _ := PanCheck(panload.Check{Code: panload.CenterOff, Noted: 2.75, Expected: -2.7}, of, fleet.InFeet)
	assert.Equal(t, "The weighings imply that the center of the box at full back is 2.7 ft behind the tandem, "+
		"and it was taped 2.8 ft ahead of the tandem.", plain(detail))
}

func TestStanding_SaysWhatIsCompared(t *testing.T) {
	t.Parallel()
	assert.Contains(t, Standing(true), "where sleds were weighed, what lies on the pan. It says nothing of grip, "+
		"chain or track.")
	assert.Contains(t, Standing(false), "It says nothing of weight, grip, chain or track.")
	assert.NotContains(t, Standing(false), "pan")
}

func TestWeighNext_SaysWhereTheBoxGoesAndWhy(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "Weigh the sled empty, with the box at full back: what lies on the pan follows from it.",
		plain(WeighNext(panload.State{Mark: panload.Back}, new(0.0), fleet.InFeet)))
	assert.Equal(t, "Weigh the sled loaded with most of its blocks, with the box at the middle (15.5 ft): "+
		"it shows whether the others can be believed.",
		plain(WeighNext(panload.State{Mark: panload.Middle, Loaded: true}, new(15.5), fleet.InFeet)))
}

// Of one sled the settings are named; of one setting nothing remains to be said.
func TestToWeight_OnTheSledItselfNamesTheSettings(t *testing.T) {
	t.Parallel()
	four := PullSide{Sled: "fescue", Name: "Fescue", Gear: "4"}
	one := WeightSides{Asked: four, On: PullSide{Sled: "fescue", Name: "Fescue", Gear: "3"}}
	said := ToWeight(answered(), panload.AtFinish, one, fleet.InFeet)
	assert.Equal(t, "At the hook 2,480 ± 280 lb more on the pan of Fescue in 3 than on that of Fescue in 4.",
		plain(said.Remaining[0]))
	moved := four
	moved.StartFt = 2
	assert.Equal(t, "Fescue from 2 ft forward", plain(moved.apart(four, fleet.InFeet)))
	one.OwnSetting = true
	said = ToWeight(answered(), panload.AtFinish, one, fleet.InFeet)
	assert.Equal(t, "It is the very setting that was asked about, with the same in the box.", said.Sure)
	assert.Empty(t, said.Remaining)
}

// Of the hook and the finish, what can be told is said.
func TestCandidateWeights_SaysWhatIsLeftWhereItIsTold(t *testing.T) {
	t.Parallel()
	for want, left := range map[string][2]*float64{
		"With the weights matched, 340 lb at the hook and 120 lb at the finish are left on average.": {new(338.0),
			new(121.0)},
		"With the weights matched, 120 lb at the finish are left on average.": {nil, new(121.0)},
		"No weight on Fescue does for any of these classes.":                  {},
	} {
		assert.Equal(t, want, plain(CandidateWeights("Fescue", true, 2, 2, left[0], left[1], fleet.InFeet)))
	}
}

func TestPanHeadline_SaysWhyNothingIsKnown(t *testing.T) {
	t.Parallel()
	top := &panload.Load{Lb: 29_890, LowLb: 29_720, HighLb: 30_060}
	for want, said := range map[string]string{
		"Fescue is not weighed.": PanHeadline("Fescue", 0, 0, "", nil, fleet.InFeet),
		"Fescue has not been weighed since the change of parts on Jun 1, 2026.": PanHeadline("Fescue", 0, 0,
			"2026-06-01", nil, fleet.InFeet),
		"The weighings of Fescue do not tell yet what lies on its pan at the top with an empty box.": PanHeadline(
			"Fescue", 0, 1, "", nil, fleet.InFeet),
		"With 12,000 lb in the box the pan of Fescue carries 29,890 ± 170 lb at the top.": PanHeadline("Fescue",
			12_000, 6, "2026-06-01", top, fleet.InFeet),
	} {
		assert.Equal(t, want, plain(said))
	}
}
