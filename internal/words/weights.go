package words

import (
	"fmt"
	"math"
	"strings"

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

// PullSide is a sled in a gear from a start position with what is in it.
type PullSide struct {
	Sled, Name, Gear string
	StartFt          float64
	TopOutFt         *float64 // nil where it is not known
	InBoxLb, OnPanLb float64
}

// WeightSides are what a weight is asked about and asked for.
type WeightSides struct {
	Asked, On  PullSide
	OwnSetting bool   // the very setting asked about: nothing changes
	CannotSled string // id of the sled that the reason why there is no weight is about, where it is about one
}

// weightNames are what the sides are called: the settings by the names of the sleds and, where both are of one sled, by
// how the two differ.
type weightNames struct{ on, askedSetting, onSetting, cannot string }

func (s WeightSides) names(units fleet.Units) weightNames {
	n := weightNames{on: isolated(s.On.Name), askedSetting: isolated(s.Asked.Name), onSetting: isolated(s.On.Name)}
	n.cannot = n.on
	if s.CannotSled == s.Asked.Sled {
		n.cannot = n.askedSetting
	}
	if s.Asked.Sled == s.On.Sled {
		n.askedSetting, n.onSetting = s.Asked.apart(s.On, units), s.On.apart(s.Asked, units)
	}
	return n
}

// apart names a setting beside another one of its sled: "Bluestem in C", or "Bluestem from 2 ft forward" where the gear
// is the same.
func (s PullSide) apart(other PullSide, units fleet.Units) string {
	if s.Gear != other.Gear {
		return fmt.Sprintf("%s in %s", isolated(s.Name), isolated(s.Gear))
	}
	return fmt.Sprintf("%s from %s", isolated(s.Name), Position(s.StartFt, units))
}

// topsOut is the setting that tops out where a remainder is.
func (s WeightSides) topsOut(r panload.Remainder, names weightNames) string {
	if r.Sled == s.Asked.Sled && (s.Asked.Sled != s.On.Sled || s.Asked.TopOutFt != nil && r.AtFt == *s.Asked.TopOutFt) {
		return names.askedSetting
	}
	return names.onSetting
}

// ToWeight says what an answer comes to.
func ToWeight(a panload.Answer, at panload.MatchAt, sides WeightSides, units fleet.Units) WeightAnswer {
	names := sides.names(units)
	out := WeightAnswer{Headline: fmt.Sprintf("No weight for %s.", names.on), Cannot: weightCannot(a, names, units)}
	if len(a.Remaining) == 0 {
		return out
	}
	size, plusMinus := roundedLoad(a.InBox, units)
	switch {
	case a.Cannot != "":
	case a.Rounded != nil:
		out.Headline = fmt.Sprintf("%s in the box of %s: %s.", Weight(a.Rounded.Lb, units), names.on,
			Blocks(a.Rounded.Blocks, units))
	default:
		out.Headline = fmt.Sprintf("%s in the box of %s.", size+nbsp+units.Weight(), names.on)
	}
	if a.Cannot == "" && (a.OnPanLb > 0 || at == panload.HookAndFinish) {
		out.Headline = fmt.Sprintf("%s And %s on its pan.", out.Headline, Weight(a.OnPanLb, units))
	}
	if sides.OwnSetting {
		out.Sure = "It is the very setting that was asked about, with the same in the box."
		return out
	}
	if a.InBox.Lb >= 0 {
		out.Sure = fmt.Sprintf("Exactly it would be %s.", size+nbsp+plusMinus)
	}
	for _, r := range a.Remaining {
		out.Remaining = append(out.Remaining, remainder(r, sides.topsOut(r, names), names, units))
	}
	if n := len(out.Remaining); a.InFeet != nil && n > 0 {
		if ft := length(math.Abs(*a.InFeet), units); ft != length(0, units) {
			out.Remaining[n-1] += fmt.Sprintf(" About %s of top-out do as much.", ft)
		}
	}
	return out
}

// remainder is "At the hook 2,480 ± 300 lb more on the pan than on Bluestem."
func remainder(r panload.Remainder, topsOut string, names weightNames, units fleet.Units) string {
	where := "At the hook"
	switch r.Where {
	case "top-out":
		where = fmt.Sprintf("At %s, where %s tops out,", length(r.AtFt, units), topsOut)
	case "finish":
		where = fmt.Sprintf("At the finish (%s)", length(r.AtFt, units))
	}
	size, plusMinus := roundedLoad(r.Load, units)
	if size == "0" {
		return fmt.Sprintf("%s as much on the pan of %s as on that of %s, %s.", where, names.onSetting,
			names.askedSetting, plusMinus)
	}
	return fmt.Sprintf("%s %s %s on the pan of %s than on that of %s.", where, size+nbsp+plusMinus,
		either(r.Lb, "more", "less"), names.onSetting, names.askedSetting)
}

// weightCannot says why there is no weight, "" where there is one.
func weightCannot(a panload.Answer, names weightNames, units fleet.Units) string {
	switch a.Cannot {
	case panload.NeverWeighed:
		return names.cannot + " is not weighed."
	case panload.TopOutUnknown:
		return fmt.Sprintf("It is not known where %s tops out.", names.cannot)
	case panload.TravelUnknown:
		return fmt.Sprintf("The travel of %s is not known: tape it.", names.cannot)
	case panload.NotWeighed:
		return "The weighings do not tell what lies on the pan there: weigh both sleds at back and top, empty and " +
			"loaded."
	case panload.BlocksDoNothing:
		return fmt.Sprintf("Blocks in the box of %s hardly change the load on the pan there: that takes blocks on "+
			"the pan "+
			"or a moved start.", names.on)
	case panload.BelowEmpty:
		if a.OnPanLb < 0 {
			return fmt.Sprintf("It cannot be matched at both places: the pan of %s carries more at the hook with "+
				"nothing laid on it.",
				names.on)
		}
		return fmt.Sprintf("With nothing in its box the pan of %s carries more already.", names.on)
	case panload.MoreThanOnHand:
		return fmt.Sprintf("That takes about %s in the box of %s, more than there are blocks on file.",
			weightFigure(a.InBox.Lb, 10, units)+nbsp+units.Weight(), names.on)
	case panload.BeyondLimit:
		for _, l := range a.Limits {
			if l.Passed {
				return WeightLimit(l, units)
			}
		}
		return "That passes a limit on file."
	case panload.TooUncertain:
		_, plusMinus := roundedLoad(a.InBox, units)
		return fmt.Sprintf("The weighings leave %s: too much to set a sled by. Weigh more.", plusMinus)
	}
	return ""
}

var shortfalls = map[panload.Cannot]string{
	panload.BelowEmpty:     "too heavy when empty",
	panload.MoreThanOnHand: "too few blocks",
	panload.BeyondLimit:    "past a limit on file",
	panload.TooUncertain:   "too uncertain",
}

// Shortfall is why a gear of a ranking cannot be set to what is wanted, in a few words; "" where it can.
func Shortfall(cannot panload.Cannot) string { return shortfalls[cannot] }

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
	return fmt.Sprintf("%s: %s of the %s on file.", name, signed(l.Lb, Weight(l.Lb, units)), Weight(*l.MostLb, units))
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

// CandidateWeights says how a sled does with the weights of a show. A mean is nil where it cannot be told.
func CandidateWeights(sled string, weighed bool, classes, solved int, hookMeanLb, finishMeanLb *float64,
	units fleet.Units) string {
	sled = isolated(sled)
	switch {
	case !weighed:
		return sled + " is not weighed."
	case solved == 0 || hookMeanLb == nil && finishMeanLb == nil:
		return fmt.Sprintf("No weight on %s does for any of these classes.", sled)
	}
	var left []string
	for i, lb := range []*float64{hookMeanLb, finishMeanLb} {
		if lb != nil {
			left = append(left, fmt.Sprintf("%s%s%s at the %s", weightFigure(*lb, 10, units), nbsp, units.Weight(),
				[]string{"hook", "finish"}[i]))
		}
	}
	said := fmt.Sprintf("With the weights matched, %s are left on average.", strings.Join(left, " and "))
	if solved < classes {
		said += fmt.Sprintf(" %d of %d classes have no weight on it.", classes-solved, classes)
	}
	return said
}
