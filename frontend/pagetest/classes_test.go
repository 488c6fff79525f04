package pagetest

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestClasses_SayWhenTheChartHasMovedAndTakeTodaysFigureWhenAsked(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.call("POST", "/v1/classes", map[string]any{"name": "Farm stock 9,500 lb",
		"setting":  map[string]any{"sled": "bluestem", "gear": "C", "in_box_lb": 12000, "on_pan_lb": 1500},
		"pull_off": map[string]any{"sled": "bluestem", "gear": "D", "in_box_lb": 14000, "on_pan_lb": 0}}, nil)
	for range 6 {
		s.call("POST", "/v1/sleds/bluestem/readings",
			map[string]any{"gear": "C", "distance_ft": 275, "measured_on": inDays(-1)}, nil)
	}
	type setting struct {
		StoodForFt float64 `json:"stood_for_ft"`
		TodayFt    float64 `json:"today_ft"`
		InBoxLb    float64 `json:"in_box_lb"`
		OnPanLb    float64 `json:"on_pan_lb"`
	}
	type pullingClass struct {
		Setting setting
		PullOff setting `json:"pull_off"`
	}
	var class pullingClass
	s.call("GET", "/v1/classes/farm-stock-9-500-lb", nil, &class)
	require.Greater(t, class.Setting.TodayFt-class.Setting.StoodForFt, 1.0, "the chart must have moved")

	b := s.open(phone, "/shows")
	item := "#class-farm-stock-9-500-lb"
	b.says(item+" .moved", "That was 255 ± 2 ft when noted on")
	assert.Regexp(t, `today’s chart says 2\d\d ft\. The class still means 255 ft\.$`, b.text(item+" .moved"))
	b.press(item + " > .actions button")
	b.press("dialog[open] .primary")
	b.giveKey(managerKey)
	b.until("!document.querySelector('" + item + " .moved')")
	class = pullingClass{}
	s.call("GET", "/v1/classes/farm-stock-9-500-lb", nil, &class)
	assert.InDelta(t, class.Setting.TodayFt, class.Setting.StoodForFt, 1e-9)
	assert.Equal(t, []float64{12000, 1500, 14000, 0},
		[]float64{class.Setting.InBoxLb, class.Setting.OnPanLb, class.PullOff.InBoxLb, class.PullOff.OnPanLb},
		"the blocks stay")
}

func TestClasses_KeepWhatSomebodyElseChangedMeanwhile(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.class("Farm stock 9,500 lb", "C", "")
	item := "#class-farm-stock-9-500-lb"
	b := s.open(desk, "/shows")
	b.expectRefusals()
	b.press(item + " summary")
	b.press(item + " [aria-label='Change Farm stock 9,500 lb']")
	b.write(item+" input[name=used_by]", "River Valley Pullers")

	other := s.open(desk, "/shows")
	other.press(item + " summary")
	other.press(item + " [aria-label='Change Farm stock 9,500 lb']")
	other.write(item+" textarea[name=notes]", "Starts on the white flag.")
	other.press(item + " button[type=submit]")
	other.giveKey(managerKey)
	other.says(item, "Starts on the white flag.")

	b.press(item + " button[type=submit]")
	b.giveKey(managerKey)
	b.says(item, "what you typed is still here")
	b.press(item + " [role=status] button")
	b.says(item, "Kept as you typed them: used by.")
	b.press(item + " button[type=submit]")
	b.says(item, "Used by River Valley Pullers")
	assert.Contains(t, b.text(item), "Starts on the white flag.")
}

func TestClasses_AreNotDeletedWhileAShowListsThem(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	listed, free := s.class("Farm stock 9,500 lb", "C", ""), s.class("Antique 5,500 lb", "E", "")
	s.evening("Harvest pull", 10, "fescue", listed)
	b := s.open(desk, "/shows")
	b.expectRefusals()
	remove := func(id, name string) {
		t.Helper()
		b.press("#class-" + id + " summary")
		b.press("#class-" + id + " [aria-label='Delete " + name + "']")
		b.press("dialog[open] .primary")
	}
	remove(listed, "Farm stock 9,500 lb")
	b.giveKey(managerKey)
	b.says("#class-"+listed, "is listed by Harvest pull")
	remove(free, "Antique 5,500 lb")
	b.until("!document.querySelector('#class-" + free + "')")
}

func TestClasses_RefuseASettingThatCannotBeBesideItsField(t *testing.T) {
	t.Parallel()
	s := serve(t, "--demo")
	s.class("Farm stock 9,500 lb", "C", "")
	b := s.open(phone, "/shows")
	b.expectRefusals()
	b.press("#to-new-class")
	b.write("#new-class input[name=name]", "Farm stock 9,500 lb")
	b.press("#new-class button[type=submit]")
	b.says("#new-class", "A class needs the sled it is used to.")
	b.pick("#new-class select[name='setting.sled']", "bluestem")
	b.press("#new-class button[type=submit]")
	b.says("#new-class [data-at='setting.gear']", "Pick the gear.")
	b.pick("#new-class [data-at='setting.gear'] input[value=C]", "C")
	b.write("#new-class input[name='setting.start_ft']", "40")
	b.press("#new-class button[type=submit]")
	b.giveKey(managerKey)
	// past the travel
	b.until("document.querySelector(\"#new-class input[name='setting.start_ft']\").getAttribute('aria-invalid') === " +
		"'true'")
	b.write("#new-class input[name='setting.start_ft']", "2")
	b.press("#new-class button[type=submit]")
	b.says("#new-class .faults", "There is already a class")
	assert.Equal(t, "Farm stock 9,500 lb",
		eval[string](b, "document.querySelector('#new-class input[name=name]').value"))
}
