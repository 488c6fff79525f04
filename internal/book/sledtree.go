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
type sledTree struct {
	children [branchingFactor]*innerNode
	total    calibrate.Share
	count    int
}

// fan is how many parts a part has. With two levels there are 4,096 leaves: one sled each in a fleet of a few thousand.
const branchingFactor = 64

type innerNode struct {
	children [branchingFactor]leafNode
	total    calibrate.Share
}

// leaf holds the sleds whose ids fall on one place, by id.
type leafNode struct {
	sleds []sledState
	total calibrate.Share
}

// placeOf is where an id falls, the same in every process.
func slotOf(id string) (inPages, inBranch int) {
	h := fnv.New32a()
	h.Write([]byte(id)) // never fails
	sum := h.Sum32()
	return int(sum % branchingFactor), int(sum / branchingFactor % branchingFactor)
}

func (p *sledTree) get(id string) (sledState, bool) {
	if p == nil {
		return sledState{}, false
	}
	i, j := slotOf(id)
	if p.children[i] == nil {
		return sledState{}, false
	}
	of := p.children[i].children[j].sleds
	n, ok := slices.BinarySearchFunc(of, id, func(a sledState, id string) int { return cmpID(a, id) })
	if !ok {
		return sledState{}, false
	}
	return of[n], true
}

// with puts pages in place of those of their ids; nil takes one away.
func (p *sledTree) with(changes map[string]*sledState) *sledTree {
	next := &sledTree{}
	if p != nil {
		*next = *p
	}
	byBranch := map[int][]string{}
	for _, id := range slices.Sorted(maps.Keys(changes)) {
		i, _ := slotOf(id)
		byBranch[i] = append(byBranch[i], id)
	}
	for i, ids := range byBranch {
		b := &innerNode{}
		if next.children[i] != nil {
			*b = *next.children[i]
		}
		grown := b.put(ids, changes)
		next.count += grown
		next.children[i] = b
	}
	totals := make([]calibrate.Share, 0, branchingFactor)
	for _, b := range next.children {
		if b != nil {
			totals = append(totals, b.total)
		}
	}
	next.total = calibrate.Total(totals)
	return next
}

// put carries out changes on a branch that nobody else has yet, and says by how many sleds it has grown.
func (b *innerNode) put(ids []string, changes map[string]*sledState) (grown int) {
	fresh := map[int]bool{} // leaves that are this branch's own by now
	for _, id := range ids {
		_, j := slotOf(id)
		of := &b.children[j]
		if !fresh[j] {
			of.sleds, fresh[j] = slices.Clone(of.sleds), true
		}
		n, there := slices.BinarySearchFunc(of.sleds, id, func(a sledState, id string) int { return cmpID(a, id) })
		switch changed := changes[id]; {
		case changed == nil && there:
			of.sleds = slices.Delete(of.sleds, n, n+1)
			grown--
		case changed != nil && there:
			of.sleds[n] = *changed
		case changed != nil:
			of.sleds = slices.Insert(of.sleds, n, *changed)
			grown++
		}
	}
	for j := range fresh {
		shares := make([]calibrate.Share, len(b.children[j].sleds))
		for i, state := range b.children[j].sleds {
			shares[i] = state.share
		}
		b.children[j].total = calibrate.Total(shares)
	}
	totals := make([]calibrate.Share, branchingFactor)
	for j := range b.children {
		totals[j] = b.children[j].total
	}
	b.total = calibrate.Total(totals)
	return grown
}

// differ says whether any of the ids is in one and not in the other.
func (p *sledTree) differ(other *sledTree, ids []string) bool {
	return slices.ContainsFunc(ids, func(id string) bool {
		_, here := p.get(id)
		_, there := other.get(id)
		return here != there
	})
}

// ids lists all of them, ascending.
func (p *sledTree) ids() []string {
	all := make([]string, 0, p.count)
	for _, b := range p.children {
		if b == nil {
			continue
		}
		for _, of := range b.children {
			for _, one := range of.sleds {
				all = append(all, one.notebook.Sled.ID)
			}
		}
	}
	slices.Sort(all)
	return all
}

func cmpID(a sledState, id string) int {
	switch {
	case a.notebook.Sled.ID < id:
		return -1
	case a.notebook.Sled.ID > id:
		return 1
	}
	return 0
}
