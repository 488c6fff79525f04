package book

import (
	"math"
	"slices"

	"evenpull/internal/calibrate"
	"evenpull/internal/fleet"
	"evenpull/internal/match"
)

// unchangedFt is a difference that no page shows: a chart that moved by less has not moved. An assumption of our own.
const unchangedFt = 0.05

// setting finds a home setting on its sled as it is now.
func (s *snapshot) setting(home fleet.HomeSetting) (match.Setting, bool) {
	state, ok := s.lookup(home.Sled)
	if !ok {
		return match.Setting{}, false
	}
	gear := state.Sled.GearPlace(home.GearID)
	return match.Setting{Side: state.side(), Gear: gear, StartFt: home.StartFt}, gear >= 0
}

// today is what the chart says now of a home setting, nil where it says nothing.
func (s *snapshot) today(home fleet.HomeSetting) *float64 {
	setting, ok := s.setting(home)
	if !ok {
		return nil
	}
	return topOutFt(setting.Chart.At(setting.Gear, setting.StartFt))
}

// topOutFt is the top-out of an estimate, nil where it is not known.
func topOutFt(e calibrate.Estimate) *float64 {
	if !e.Known() {
		return nil
	}
	return &e.TopOutFt
}

// classView is a class with what its home charts say now.
func (s *snapshot) classView(c fleet.Class) ClassView {
	v := ClassView{Class: c, TodayFt: s.today(c.Setting)}
	for _, id := range slices.Compact(sledsOf(c)) {
		if sled := s.sledState(id).Sled; sled.Invented {
			v.Invented = append(v.Invented, sled.Name)
		}
	}
	if c.PullOff != nil {
		v.PullOffTodayFt = s.today(*c.PullOff)
	}
	return v
}

// target is the top-out that a class means by a setting, and the one that goes with it from full back.
func (s *snapshot) target(home fleet.HomeSetting) match.Target {
	t := match.Target{TopOutFt: *home.TopOutFt, PlusMinusFt: *home.PlusMinusFt, StartFt: home.StartFt}
	if setting, ok := s.setting(home); ok && home.StartFt > 0 {
		here, full := setting.Chart.At(setting.Gear, home.StartFt), setting.Chart.At(setting.Gear, 0)
		if here.Known() && full.Known() {
			t.FullBackFt = t.TopOutFt * full.TopOutFt / here.TopOutFt
		}
	}
	return t
}

// stillMeans says whether the setting itself is still what a class means by it: nothing was known when it was noted, or
// on the home sled itself the chart has not moved.
func (s *snapshot) stillMeans(home fleet.HomeSetting, on string) bool {
	if home.TopOutFt == nil || home.PlusMinusFt == nil {
		return true
	}
	if home.Sled != on {
		return false
	}
	today := s.today(home)
	return today != nil && math.Abs(*today-*home.TopOutFt) < unchangedFt
}

// translate finds what a class sets on a sled for the top-out that its setting stood for.
func (s *snapshot) translate(home fleet.HomeSetting, on match.Side) match.Answer {
	if on.Sled.ID == "" {
		return match.Answer{Because: match.Because{Reason: match.NoSled}}
	}
	if s.stillMeans(home, on.Sled.ID) {
		setting, ok := s.setting(home)
		if !ok {
			return match.Answer{Sled: on.Sled.ID, Because: match.Because{Reason: match.SettingNotThere}}
		}
		return match.Compare(setting, on, nil)
	}
	return match.CompareTo(s.target(home), on, nil)
}

// translateAll makes the rows of a show's sheet on a sled, without what was noted of it, and says what the sled's pulls
// of the night say: those entered from the show, and withDate the others of its date too. A show without a sled, "",
// has rows without settings.
func (s *snapshot) translateAll(
	show fleet.Show, classes map[string]fleet.Class, sled string, withDate bool,
) ([]SheetRow, *Night) {
	state := s.sledState(sled)
	var on match.Side
	var night *Night
	if sled != "" {
		on, night = state.onShow(show, withDate)
	}
	rows := make([]SheetRow, len(show.Classes))
	for i, id := range show.Classes {
		c := s.classView(classes[id])
		home := s.sledState(c.Setting.Sled).Sled
		rows[i] = SheetRow{Class: c, HomeSledName: home.Name, HomeGuest: home.Guest,
			Tonight: s.translate(c.Setting, on)}
		rows[i].Weight = s.sheetWeight(c.Class, c.Setting, rows[i].Tonight, state, show.FullPullFt)
		if c.PullOff != nil {
			of := s.sledState(c.PullOff.Sled).Sled
			rows[i].PullOffSled, rows[i].PullOffGuest = of.Name, of.Guest
			rows[i].PullOffTonight = new(s.translate(*c.PullOff, on))
			rows[i].PullOffWeight = s.sheetWeight(c.Class, *c.PullOff, *rows[i].PullOffTonight, state, show.FullPullFt)
		}
	}
	return rows, night
}
