package words

import (
	"fmt"
	"math"

	"evenpull/internal/fleet"
	"evenpull/internal/panload"
)

// WeightAnswer is how much in the box, in sentences. A sentence that there is no need of is empty.
type WeightAnswer struct {
	Headline  string
	Sure      string
	Remaining []string
	Cannot    string
}

// WeightNames are the names of an answer. The settings are the names of the sleds, or say how the two differ where both
// are of one sled.
type WeightNames struct {
	On                      string // the sled that the weight is for
	AskedSetting, OnSetting string
	TopsOut                 func(panload.Remainder) string // the setting that tops out there
	Cannot                  string                         // the sled that the reason why there is no weight is about
	OwnSetting              bool                           // the very setting asked about: nothing changes
}

func (n WeightNames) isolated() WeightNames {
	n.On, n.AskedSetting, n.OnSetting = isolated(n.On), isolated(n.AskedSetting), isolated(n.OnSetting)
	n.Cannot = isolated(n.Cannot)
	if of := n.TopsOut; of != nil {
		n.TopsOut = func(r panload.Remainder) string { return isolated(of(r)) }
	}
	return n
}

// OneSledApart names a setting of a sled beside another setting of the same sled: "Bluestem in C", or "Bluestem from
// 2 ft forward" where the gear is the same.
func OneSledApart(sled, gear, otherGear string, startFt float64, units fleet.Units) string {
	if gear != otherGear {
		return fmt.Sprintf("%s in %s", isolated(sled), isolated(gear))
	}
	return fmt.Sprintf("%s from %s", isolated(sled), Position(startFt, units))
}

// ToWeight says what an answer comes to.
func ToWeight(a panload.Answer, at panload.MatchAt, names WeightNames, units fleet.Units) WeightAnswer {
	names = names.isolated()
	out := WeightAnswer{Headline: fmt.Sprintf("No weight for %s.", names.On), Cannot: weightCannot(a, names, units)}
	if len(a.Remaining) == 0 {
		return out
	}
	half := (a.InBox.HighLb - a.InBox.LowLb) / 2
	exact := weightFigure(a.InBox.Lb, weightStep(half, units), units) + nbsp + plusMinusWeight(half, units)
	switch {
	case a.Cannot != "":
	case a.Rounded != nil:
		out.Headline = fmt.Sprintf("%s in the box of %s: %s.", Weight(a.Rounded.Lb, units), names.On,
			Blocks(a.Rounded.Blocks, units))
	default:
		step := weightStep(half, units)
		out.Headline = fmt.Sprintf("%s in the box of %s.", weightFigure(a.InBox.Lb, step, units)+nbsp+units.Weight(),
			names.On)
	}
	if a.Cannot == "" && at == panload.HookAndFinish {
		out.Headline = fmt.Sprintf("%s And %s on its pan.", out.Headline, Weight(a.OnPanLb, units))
	}
	if names.OwnSetting {
		out.Sure = "It is the very setting that was asked about, with the same in the box."
		return out
	}
	if a.InBox.Lb >= 0 {
		out.Sure = fmt.Sprintf("Exactly it would be %s.", exact)
	}
	for _, r := range a.Remaining {
		out.Remaining = append(out.Remaining, remainder(r, names, units))
	}
	if n := len(out.Remaining); a.InFeet != nil && n > 0 {
		if ft := length(math.Abs(*a.InFeet), units); ft != length(0, units) {
			out.Remaining[n-1] += fmt.Sprintf(" About %s of top-out do as much.", ft)
		}
	}
	return out
}

// remainder is "At the hook 2,480 ± 300 lb more on the pan than on Bluestem."
func remainder(r panload.Remainder, names WeightNames, units fleet.Units) string {
	where := "At the hook"
	switch r.Where {
	case "top-out":
		where = fmt.Sprintf("At %s, where %s tops out,", length(r.AtFt, units), names.TopsOut(r))
	case "finish":
		where = fmt.Sprintf("At the finish (%s)", length(r.AtFt, units))
	}
	half := (r.HighLb - r.LowLb) / 2
	step := weightStep(half, units)
	size := weightFigure(r.Lb, step, units)
	if size == "0" {
		return fmt.Sprintf("%s as much on the pan of %s as on that of %s, %s.", where, names.OnSetting, names.AskedSetting,
			plusMinusWeight(half, units))
	}
	way := "less"
	if r.Lb > 0 {
		way = "more"
	}
	return fmt.Sprintf("%s %s%s%s %s on the pan of %s than on that of %s.", where, size, nbsp,
		plusMinusWeight(half, units), way,
		names.OnSetting, names.AskedSetting)
}

// weightCannot says why there is no weight, "" where there is one.
func weightCannot(a panload.Answer, names WeightNames, units fleet.Units) string {
	switch a.Cannot {
	case panload.NeverWeighed:
		return names.Cannot + " is not weighed."
	case panload.TopOutUnknown:
		return fmt.Sprintf("It is not known where %s tops out.", names.Cannot)
	case panload.TravelUnknown:
		return fmt.Sprintf("The travel of %s is not known: tape it.", names.Cannot)
	case panload.NotWeighed:
		return "The weighings do not tell what lies on the pan there: weigh both sleds at back and top, empty and " +
			"loaded."
	case panload.BlocksDoNothing:
		return fmt.Sprintf("Blocks in the box of %s hardly change the load on the pan there: that takes blocks on "+
			"the pan "+
			"or a moved start.", names.On)
	case panload.BelowEmpty:
		if a.OnPanLb < 0 {
			return fmt.Sprintf("It cannot be matched at both places: the pan of %s carries more at the hook with "+
				"nothing laid on it.",
				names.On)
		}
		return fmt.Sprintf("With nothing in its box the pan of %s carries more already.", names.On)
	case panload.MoreThanOnHand:
		return fmt.Sprintf("That takes about %s in the box of %s, more than there are blocks on file.",
			weightFigure(a.InBox.Lb, 10, units)+nbsp+units.Weight(), names.On)
	case panload.BeyondLimit:
		for _, l := range a.Limits {
			if l.Passed {
				return WeightLimit(l, units)
			}
		}
		return "That passes a limit on file."
	case panload.TooUncertain:
		return fmt.Sprintf("The weighings leave %s: too much to set a sled by. Weigh more.",
			plusMinusWeight((a.InBox.HighLb-a.InBox.LowLb)/2, units))
	}
	return ""
}

// Shortfall is why a gear of a ranking cannot be set to what is wanted, in a few words; "" where it can.
func Shortfall(cannot panload.Cannot) string {
	switch cannot {
	case panload.BelowEmpty:
		return "too heavy when empty"
	case panload.MoreThanOnHand:
		return "too few blocks"
	case panload.BeyondLimit:
		return "past a limit on file"
	case panload.TooUncertain:
		return "too uncertain"
	}
	return ""
}

var limitNames = map[string]string{"box": "In the box", "pan": "On the pan", "tandem": "On the tandem"}

// WeightLimit holds a limit on file against what would come on it. It never says that a weight is safe.
func WeightLimit(l panload.Limit, units fleet.Units) string {
	name := limitNames[l.What]
	switch {
	case l.MostLb == nil:
		return name + ": no limit on file: ask the maker."
	case !l.Known:
		return fmt.Sprintf("%s: at most %s on file; what would come on it is not known.", name,
			Weight(*l.MostLb, units))
	case l.Passed:
		return fmt.Sprintf("%s: %s would pass the %s on file.", name, Weight(l.Lb, units), Weight(*l.MostLb, units))
	}
	return fmt.Sprintf("%s: %s of the %s on file.", name, Weight(l.Lb, units), Weight(*l.MostLb, units))
}

// FullPull says whether the box of a sled tops out before the end of the track: "before", "after" or "too-near" to
// tell.
func FullPull(topsOut string, fullPullFt float64, units fleet.Units) string {
	end := length(fullPullFt, units)
	switch topsOut {
	case "before":
		return fmt.Sprintf("The box tops out before the full pull of %s.", end)
	case "after":
		return fmt.Sprintf("The box does not top out within the full pull of %s.", end)
	}
	return fmt.Sprintf("The box tops out about where the full pull of %s ends.", end)
}

// CandidateWeights says how a sled does with the weights of a show.
func CandidateWeights(sled string, weighed bool, classes, solved int, hookMeanLb, finishMeanLb *float64,
	units fleet.Units) string {
	sled = isolated(sled)
	switch {
	case !weighed:
		return sled + " is not weighed."
	case solved == 0 || hookMeanLb == nil || finishMeanLb == nil:
		return fmt.Sprintf("No weight on %s does for any of these classes.", sled)
	}
	said := fmt.Sprintf("With the weights matched, %s are left at the hook and %s at the finish on average.",
		weightFigure(*hookMeanLb, 10, units)+nbsp+units.Weight(),
		weightFigure(*finishMeanLb, 10, units)+nbsp+units.Weight())
	if solved < classes {
		said += fmt.Sprintf(" %d of %d classes have no weight on it.", classes-solved, classes)
	}
	return said
}
