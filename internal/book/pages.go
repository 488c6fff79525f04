package book

import (
	"hash/fnv"
	"maps"
	"slices"

	"evenpull/internal/calibrate"
)

// pages are sleds by id, with the sum of their shares in the fleet's repeatability. They never change: with makes new ones that
// share with the old what stays, so that a write costs the same among ten sleds as among ten thousand. The sum depends on which
// sleds there are and not on how they came: the same fleet gives the same bits after a restart and on another instance.
type pages struct {
	branches [fan]*branch
	total    calibrate.Share
	count    int
}

// fan is how many parts a part has. With two levels there are 4,096 leaves: one sled each in a fleet of a few thousand.
const fan = 64

type branch struct {
	leaves [fan]leaf
	total  calibrate.Share
}

// leaf holds the sleds whose ids fall on one place, by id.
type leaf struct {
	pages []page
	total calibrate.Share
}

// placeOf is where an id falls, the same in every process.
func placeOf(id string) (inPages, inBranch int) {
	h := fnv.New32a()
	h.Write([]byte(id)) // never fails
	sum := h.Sum32()
	return int(sum % fan), int(sum / fan % fan)
}

func (p *pages) get(id string) (page, bool) {
	if p == nil {
		return page{}, false
	}
	i, j := placeOf(id)
	if p.branches[i] == nil {
		return page{}, false
	}
	of := p.branches[i].leaves[j].pages
	n, ok := slices.BinarySearchFunc(of, id, func(a page, id string) int { return cmpID(a, id) })
	if !ok {
		return page{}, false
	}
	return of[n], true
}

// with puts pages in place of those of their ids; nil takes one away.
func (p *pages) with(changes map[string]*page) *pages {
	next := &pages{}
	if p != nil {
		*next = *p
	}
	byBranch := map[int][]string{}
	for _, id := range slices.Sorted(maps.Keys(changes)) {
		i, _ := placeOf(id)
		byBranch[i] = append(byBranch[i], id)
	}
	for i, ids := range byBranch {
		b := &branch{}
		if next.branches[i] != nil {
			*b = *next.branches[i]
		}
		grown := b.put(ids, changes)
		next.count += grown
		next.branches[i] = b
	}
	totals := make([]calibrate.Share, 0, fan)
	for _, b := range next.branches {
		if b != nil {
			totals = append(totals, b.total)
		}
	}
	next.total = calibrate.Total(totals)
	return next
}

// put carries out changes on a branch that nobody else has yet, and says by how many sleds it has grown.
func (b *branch) put(ids []string, changes map[string]*page) (grown int) {
	fresh := map[int]bool{} // leaves that are this branch's own by now
	for _, id := range ids {
		_, j := placeOf(id)
		of := &b.leaves[j]
		if !fresh[j] {
			of.pages, fresh[j] = slices.Clone(of.pages), true
		}
		n, there := slices.BinarySearchFunc(of.pages, id, func(a page, id string) int { return cmpID(a, id) })
		switch changed := changes[id]; {
		case changed == nil && there:
			of.pages = slices.Delete(of.pages, n, n+1)
			grown--
		case changed != nil && there:
			of.pages[n] = *changed
		case changed != nil:
			of.pages = slices.Insert(of.pages, n, *changed)
			grown++
		}
	}
	for j := range fresh {
		shares := make([]calibrate.Share, len(b.leaves[j].pages))
		for i, p := range b.leaves[j].pages {
			shares[i] = p.share
		}
		b.leaves[j].total = calibrate.Total(shares)
	}
	totals := make([]calibrate.Share, fan)
	for j := range b.leaves {
		totals[j] = b.leaves[j].total
	}
	b.total = calibrate.Total(totals)
	return grown
}

// differ says whether any of the ids is in one and not in the other.
func (p *pages) differ(other *pages, ids []string) bool {
	return slices.ContainsFunc(ids, func(id string) bool {
		_, here := p.get(id)
		_, there := other.get(id)
		return here != there
	})
}

// ids lists all of them, ascending.
func (p *pages) ids() []string {
	all := make([]string, 0, p.count)
	for _, b := range p.branches {
		if b == nil {
			continue
		}
		for _, of := range b.leaves {
			for _, one := range of.pages {
				all = append(all, one.notebook.Sled.ID)
			}
		}
	}
	slices.Sort(all)
	return all
}

func cmpID(a page, id string) int {
	switch {
	case a.notebook.Sled.ID < id:
		return -1
	case a.notebook.Sled.ID > id:
		return 1
	}
	return 0
}
