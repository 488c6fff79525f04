package book

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/fleet"
)

// openTwoCrews is a crew that gives its sleds away, and one that takes them in a year later.
func openTwoCrews(t testing.TB) (owner *Book, theirs *at, here *Book, clock *at) {
	t.Helper()
	owner, theirs = openCrew(t)
	here, clock = openBook(t)
	clock.now = clock.now.AddDate(1, 0, 0)
	return owner, theirs, here, clock
}

// withFourthGear adds gear D to the owner's Bluestem, and a change of parts that names it.
func withFourthGear(t testing.TB, owner *Book) (change string) {
	t.Helper()
	write(t, owner, correctNow("bluestem", func(s *fleet.Sled) {
		s.Gears = append(s.Gears, fleet.Gear{Label: "D", Ratio: ft(2)})
	}))
	return addChange(t, owner, "bluestem", fleet.Change{MadeOn: "2026-01-15", What: "D geared anew",
		Gears: []fleet.Gear{{Label: "D", Ratio: ft(2.2)}}, Effect: fleet.UnknownEffect}).ID
}

// dropFourthGear takes both back.
func dropFourthGear(t testing.TB, owner *Book, theirs *at, change string) {
	t.Helper()
	write(t, owner, func(w *Writer) error { return w.RemoveChange(change) })
	write(t, owner, correctNow("bluestem", func(s *fleet.Sled) { s.Gears = s.Gears[:3] }))
	theirs.now = theirs.now.AddDate(0, 0, 1)
}

func TestTakeSled_DropsAGearWithTheChangeThatNamedIt(t *testing.T) {
	t.Parallel()
	owner, theirs, here, _ := openTwoCrews(t)
	change := withFourthGear(t, owner)
	takeIn(t, here, given(t, owner, "bluestem"), "")
	dropFourthGear(t, owner, theirs, change)
	in := takeIn(t, here, given(t, owner, "bluestem"), "")
	assert.Equal(t, []string{"A", "B", "C"}, in.Sled.Labels())
	assert.Equal(t, 1, in.Changes)
	found, err := here.Check(context.Background())
	require.NoError(t, err)
	assert.Empty(t, found)
}

func TestTakeSled_KeepsAGearThatIsInUseHere(t *testing.T) {
	t.Parallel()
	owner, theirs, here, _ := openTwoCrews(t)
	change := withFourthGear(t, owner)
	takeIn(t, here, given(t, owner, "bluestem"), "")
	addReading(t, here, "bluestem", readingOf("D", 0, 150))
	dropFourthGear(t, owner, theirs, change)
	e := refused(t, here, func(w *Writer) error { _, err := takeSled(w, given(t, owner, "bluestem"), ""); return err })
	assert.Equal(t, fleet.Conflict, e.Kind)
	assert.Equal(t, "this document of Bluestem lacks a gear that is in use here: gear D has 1 reading; "+
		"ask its owner for one that has it", e.Detail)
}

// What a crew read of a guest counts in no chart. A document after which it cannot have been so stops nothing.
func TestTakeSled_CorrectsASledThatReadingsHereDoNotGoWith(t *testing.T) {
	t.Parallel()
	for what, correction := range map[string]func(*fleet.Sled){
		"a start past the new travel":   func(s *fleet.Sled) { s.TravelFt = ft(29) },
		"a pull within the new take-up": func(s *fleet.Sled) { s.TakeUpFt = 45 },
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			owner, theirs, here, clock := openTwoCrews(t)
			s := sledOf("Brome", ft(34.5), "A", "B")
			s.Owner = "The Ridge Crew"
			addSled(t, owner, s)
			addReading(t, owner, "brome", readingOf("A", 0, 300))
			takeIn(t, here, given(t, owner, "brome"), "")
			addReading(t, here, "brome", readingOf("A", 30, 40))
			write(t, owner, correctNow("brome", correction))
			theirs.now = theirs.now.AddDate(0, 0, 1)
			assert.True(t, takeIn(t, here, given(t, owner, "brome"), "").Corrected)
			write(t, here, correctNow("brome", func(s *fleet.Sled) { s.Name = "Their Brome" }))
			document, next := exported(t, here), openEmptyAt(t, clock)
			write(t, next, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
			assert.Equal(t, document, exported(t, next))
		})
	}
}

// A document is of one sled. Ids that are here with another one, or with what this crew noted, are refused before
// anything is written, and a dry run says the same.
func TestTakeSled_RefusesIdsThatAreHereAlready(t *testing.T) {
	t.Parallel()
	owner, _, here, _ := openTwoCrews(t)
	document := given(t, owner, "fescue")
	takeIn(t, here, document, "")
	mine := addSled(t, here, sledOf("Meadow", ft(30), "X"))
	reading := addReading(t, here, "meadow", readingOf("X", 0, 299))
	weighing := weigh(t, here, "meadow", [3]float64{0, 0, 10_720})[0]
	change := addChange(t, here, "meadow", changeOn("2026-05-10", fleet.UnknownEffect))
	own := addReading(t, here, "fescue", readingOf("A", 0, 299))
	for what, c := range map[string]struct {
		add  func(d *GivenSled)
		says string
	}{
		"a gear of another sled": {func(d *GivenSled) {
			d.Timeline.Base.Gears = append(d.Timeline.Base.Gears, fleet.Gear{ID: mine.Gears[0].ID, Label: "Z"})
		}, "several sleds, fescue, meadow"},
		"a reading of another sled": {func(d *GivenSled) { d.Readings[3].ID = reading.ID },
			"several sleds, fescue, meadow"},
		"a weighing of another sled": {func(d *GivenSled) { d.Weighings[1].ID = weighing.ID },
			"several sleds, fescue, meadow"},
		"a change of another sled": {func(d *GivenSled) { d.Timeline.Changes[0].ID = change.ID },
			"several sleds, fescue, meadow"},
		"a reading that was taken here": {func(d *GivenSled) { d.Readings[3].ID = own.ID },
			"reading " + own.ID + " of this document is here already as one that this crew took"},
	} {
		d, err := here.ReadSled(strings.NewReader(document))
		require.NoError(t, err)
		c.add(&d)
		_, err = here.CheckSled(context.Background(), d, "")
		assert.ErrorContains(t, err, c.says, what)
		e := refused(t, here, func(w *Writer) error { _, err := w.TakeSled(d, ""); return err })
		assert.Equal(t, fleet.Conflict, e.Kind, what)
		assert.ErrorContains(t, e, c.says, what)
	}
	assert.False(t, takeIn(t, here, document, "").changes())
}

// A crew may give away a sled of its demo, and a document can say so of any. It is a guest all the same, and what was
// read of it here does not go with a demo.
func TestTakeSled_KeepsAnInventedGuestOutOfTheDemo(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, _, here, _ := openTwoCrews(t)
	document := strings.Replace(given(t, owner, "fescue"), `"revision":`, `"invented":true,"revision":`, 1)
	in := takeIn(t, here, document, "")
	assert.True(t, in.Sled.Invented, "which its words say")
	demo, err := here.Demo(ctx)
	require.NoError(t, err)
	assert.False(t, demo)
	assert.Equal(t, fleet.NotFound, refused(t, here, func(w *Writer) error { return w.RemoveDemo(false) }).Kind)
}

// A weighing of a guest can be set aside here, as a reading can, and its owner's reason stands beside that.
func TestTakeSled_TakesNoWeighingBackThatWasSetAsideHere(t *testing.T) {
	t.Parallel()
	ctx := context.Background()
	owner, theirs, here, clock := openTwoCrews(t)
	in := takeIn(t, here, given(t, owner, "fescue"), "")
	ours, both, owners := in.addWeighings[0].ID, in.addWeighings[1].ID, in.addWeighings[2].ID
	why, theirWhy := "the scale stood on a slope", "a digit misread"
	aside := func(b *Book, id string, reason *string) {
		write(t, b, func(w *Writer) error { _, err := w.SetWeighingAside(id, reason); return err })
	}
	reasons := func(b *Book) map[string]string {
		out := map[string]string{}
		all, _, err := b.Weighings(ctx, "fescue", "", 100)
		require.NoError(t, err)
		for _, g := range all {
			if g.SetAside != nil {
				out[g.ID] = g.SetAside.Reason
			}
		}
		return out
	}
	newer := func() TakenIn {
		theirs.now = theirs.now.AddDate(0, 0, 1)
		return takeIn(t, here, given(t, owner, "fescue"), "")
	}
	before, err := here.PanLoad(ctx, PanQuestion{Sled: "fescue", InBoxLb: 12_000})
	require.NoError(t, err)
	aside(here, ours, &why)
	aside(here, both, &why)
	after, err := here.PanLoad(ctx, PanQuestion{Sled: "fescue", InBoxLb: 12_000})
	require.NoError(t, err)
	assert.NotEqual(t, before.Places, after.Places, "it counts no more")
	assert.False(t, newer().Weighings > 0)
	aside(owner, both, &theirWhy)
	aside(owner, owners, &theirWhy)
	assert.Equal(t, 2, newer().Weighings)
	assert.Equal(t, map[string]string{ours: why, both: why, owners: theirWhy}, reasons(here))
	e := refused(t, here, func(w *Writer) error { _, err := w.SetWeighingAside(owners, nil); return err })
	assert.Contains(t, e.Detail, "owner set this weighing aside")

	document, next := exported(t, here), openEmptyAt(t, clock)
	write(t, next, func(w *Writer) error { _, err := w.Import(strings.NewReader(document)); return err })
	assert.Equal(t, document, exported(t, next))
	for _, b := range []*Book{here, next} {
		aside(b, ours, nil)
		aside(b, both, nil)
		assert.Equal(t, map[string]string{both: theirWhy, owners: theirWhy}, reasons(b), "the owner's own is left")
	}
	aside(owner, both, nil)
	aside(owner, owners, nil)
	newer()
	assert.Empty(t, reasons(here), "what its owner brings back counts again")
}
