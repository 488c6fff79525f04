package archive

import (
	"fmt"

	"evenpull/internal/fleet"
)

func (i *importer) inspectionList(at string, l fleet.InspectionList) error {
	if i.lists[l.Sled] {
		i.add(at+".sled", "%s has a list in the document already", fleet.Quoted(l.Sled))
	}
	i.lists[l.Sled] = true
	i.of(at, l.Sled)
	i.revision(at, l.Revision)
	l.CreatedAt, l.UpdatedAt = i.moment(at, "created_at", l.CreatedAt), i.moment(at, "updated_at", l.UpdatedAt)
	l.Tidy()
	i.note(at, l.Check())
	for n, item := range l.Items[:min(len(l.Items), fleet.MaxInspectionItems)] {
		i.id(fmt.Sprintf("%s.items[%d]", at, n), item.ID, i.others[item.ID])
		i.others[item.ID] = true
	}
	return i.store(func() error { return i.to.PutInspectionList(l) })
}

func (i *importer) inspection(at string, one fleet.Inspection) error {
	i.id(at, one.ID, i.others[one.ID])
	i.others[one.ID] = true
	i.of(at, one.Sled)
	if one.Show != "" && !i.shows[one.Show] {
		i.add(at+".show", "there is no show %s in the document", fleet.Quoted(one.Show))
	}
	if one.Item == "" {
		i.add(at+".item", "must not be empty")
	}
	one.CreatedAt = i.moment(at, "created_at", one.CreatedAt)
	one.Tidy()
	i.note(at, one.Check(i.now))
	i.line(at+".item", one.Item, mostID)
	i.line(at+".what", one.What, fleet.MaxInspectionWords)
	i.line(at+".signed_by", one.SignedBy, fleet.MaxNameLength)
	return i.store(func() error { return i.to.AddInspections([]fleet.Inspection{one}) })
}
