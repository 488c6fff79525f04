package archive

import (
	"errors"

	"evenpull/internal/fleet"
)

func (i *importer) weighing(at string, w fleet.Weighing) error {
	i.id(at, w.ID, i.others[w.ID])
	i.others[w.ID] = true
	if i.count.Weighings++; i.one != nil && i.count.Weighings > mostWeighings {
		return fleet.Errorf(fleet.Unreadable, "the document has more than %d weighings", mostWeighings)
	}
	w.CreatedAt = i.moment(at, "created_at", w.CreatedAt)
	w.SetAside = i.aside(at, "set_aside", w.SetAside)
	if a := w.SetAside; a != nil && a.WithBatch {
		i.add(at+".set_aside.with_batch", "goes with readings only")
	}
	t, known := i.of(at, w.Sled)
	switch {
	case i.one != nil && w.OwnerSetAside != nil:
		i.add(at+".owner_set_aside", "a sled that is given away has none")
	case i.one != nil:
		w.OwnerSetAside = w.SetAside
	case w.OwnerSetAside == nil:
	case known && t.Base.Guest == nil:
		i.add(at+".owner_set_aside", "goes with the weighings of a guest only")
	default:
		w.OwnerSetAside = i.ownersAside(at, w.OwnerSetAside, w.SetAside)
	}
	if !known {
		return nil
	}
	w.Tidy()
	if w.SetAside != nil || i.doubtful[w.Sled] { // one set aside need not go with the sled as it was noted later
		i.note(at, w.Check(i.now))
	} else {
		i.note(at, w.CheckOn(i.on(t, w.WeighedOn), i.now))
	}
	if i.weighed = append(i.weighed, w); len(i.weighed) == batch {
		return i.flushWeighings()
	}
	return nil
}

// ownersAside is why a guest's owner set something aside, checked.
func (i *importer) ownersAside(at string, a, aside *fleet.SetAside) *fleet.SetAside {
	if a != nil && aside == nil {
		i.add(at+".owner_set_aside", "goes with set_aside")
	}
	return i.aside(at, "owner_set_aside", a)
}

// aside is why a reading or a weighing does not count, checked, nil where it does; field is where that stands.
func (i *importer) aside(at, field string, a *fleet.SetAside) *fleet.SetAside {
	if a == nil {
		return nil
	}
	reason, err := fleet.TidyReason(a.Reason)
	var wrong *fleet.Error
	if errors.As(err, &wrong) {
		i.add(at+"."+field+".reason", "%s", wrong.Faults[0].Detail)
	}
	return &fleet.SetAside{Reason: reason, At: i.moment(at, field+".at", a.At), WithBatch: a.WithBatch}
}
