package book

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/internal/fleet"
)

func TestHooks_CountForTheSettingTheyPulledOn(t *testing.T) {
	t.Parallel()
	d := func(hook int) fleet.AsRun { return fleet.AsRun{Sled: "fescue", Gear: "D", FromHook: hook} }
	e := func(hook int) fleet.AsRun { return fleet.AsRun{Sled: "fescue", Gear: "E", FromHook: hook} }
	off := fleet.AsRun{Sled: "fescue", Gear: "F", FromHook: 9, PullOff: true}
	for name, c := range map[string]struct {
		noted []fleet.AsRun
		hooks *int
		want  map[string]float64
		most  string
	}{
		"of a class set in D for the first hook and in E from the second on": {
			[]fleet.AsRun{d(1), e(2)}, new(12), map[string]float64{"D": 1, "E": 11}, "E",
		},
		"of a class whose hooks nobody counted": {[]fleet.AsRun{d(1), e(2)}, nil,
			map[string]float64{"D": 1, "E": 9}, "E"},
		"of a class that went back to D": {[]fleet.AsRun{d(1), e(4), d(6)}, new(8),
			map[string]float64{"D": 6, "E": 2}, "D"},
		"of two lines for one hook to the later": {[]fleet.AsRun{d(1), e(1)}, new(4), map[string]float64{"E": 4},
			"E"},
		"of as many on both to the later": {[]fleet.AsRun{d(1), e(3)}, new(4),
			map[string]float64{"D": 2, "E": 2}, "E"},
		"at least one though fewer hooks were counted": {[]fleet.AsRun{d(1), e(9)}, new(5),
			map[string]float64{"D": 8, "E": 1}, "D"},
		"but for the pull-off": {[]fleet.AsRun{d(1), off}, new(9), map[string]float64{"D": 9},
			"D"},
		"of none where only the pull-off was noted": {[]fleet.AsRun{off}, nil, map[string]float64{}, ""},
	} {
		ran := hooksOf(c.noted, &fleet.Outcome{Hooks: c.hooks})
		got := map[string]float64{}
		for _, r := range ran {
			got[r.Gear] += r.hooks
		}
		assert.Equal(t, c.want, got, name)
		if most := mostHooks(ran); c.most == "" {
			assert.Nil(t, most, name)
		} else {
			assert.Equal(t, c.most, most.Gear, name)
		}
	}
}
