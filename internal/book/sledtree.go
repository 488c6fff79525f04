package book

import (
	"hash/fnv"
	"slices"
	"strings"

	"evenpull/internal/calibrate"
	"evenpull/internal/panload"
)

// branchingFactor is how many children a node of a sled tree has. Its two levels make 4,096 leaf nodes: about one sled
// each in a fleet of a few thousand.
const branchingFactor = 64

// sledTree is a persistent tree of sleds by the hash of their ids, with the sum of their shares in the fleet's
// repeatability and in its spread of weighings. with returns a new tree that shares the unchanged nodes, so that a
// write costs the same among ten sleds as among ten thousand. The sum depends only on which sleds there are, not on the
// order of the writes: it is the same to the last bit after a restart and in another process.
type sledTree struct {
	children [branchingFactor]*innerNode
	total    calibrate.Share
	pan      panload.Share
	ids      []string // of all sleds, ascending
}

type innerNode struct {
	children [branchingFactor]leafNode
	total    calibrate.Share
	pan      panload.Share
}

// leafNode holds the sleds of one hash, by id.
type leafNode struct {
	sleds []sledState
	total calibrate.Share
	pan   panload.Share
}

// slotOf is the place of an id in the tree and in an inner node, the same in every process.
func slotOf(id string) (inTree, inNode int) {
	h := fnv.New32a()
	h.Write([]byte(id)) // never fails
	sum := h.Sum32()
	return int(sum % branchingFactor), int(sum / branchingFactor % branchingFactor)
}

func (l *leafNode) find(id string) (place int, found bool) {
	byID := func(s sledState, id string) int { return strings.Compare(s.Sled.ID, id) }
	return slices.BinarySearchFunc(l.sleds, id, byID)
}

func (t *sledTree) get(id string) (state sledState, found bool) {
	i, j := slotOf(id)
	if t == nil || t.children[i] == nil {
		return state, false
	}
	leaf := &t.children[i].children[j]
	place, found := leaf.find(id)
	if found {
		state = leaf.sleds[place]
	}
	return state, found
}

// with is the tree with these sleds put in or replaced, by id; nil removes one.
func (t *sledTree) with(changes map[string]*sledState) *sledTree {
	next := &sledTree{}
	if t != nil {
		*next = *t
	}
	bySlot := map[int][]string{}
	for id := range changes {
		i, _ := slotOf(id)
		bySlot[i] = append(bySlot[i], id)
	}
	resized := false
	for i, ids := range bySlot {
		node := &innerNode{}
		if next.children[i] != nil {
			*node = *next.children[i]
		}
		resized = node.put(ids, changes) || resized
		next.children[i] = node
	}
	totals := make([]calibrate.Share, 0, branchingFactor)
	next.pan = panload.Share{}
	for _, node := range next.children {
		if node != nil {
			totals = append(totals, node.total)
			next.pan = next.pan.Plus(node.pan)
		}
	}
	next.total = calibrate.Total(totals)
	if resized {
		next.ids = next.listIDs()
	}
	return next
}

// put changes a node that nobody else uses yet. It says whether a sled was added or removed.
func (n *innerNode) put(ids []string, changes map[string]*sledState) (resized bool) {
	copied := map[int]bool{} // leaf nodes that are no longer shared
	for _, id := range ids {
		_, j := slotOf(id)
		leaf := &n.children[j]
		if !copied[j] {
			leaf.sleds, copied[j] = slices.Clone(leaf.sleds), true
		}
		place, found := leaf.find(id)
		changed := changes[id]
		resized = resized || found != (changed != nil)
		switch {
		case changed == nil && found:
			leaf.sleds = slices.Delete(leaf.sleds, place, place+1)
		case changed != nil && found:
			leaf.sleds[place] = *changed
		case changed != nil:
			leaf.sleds = slices.Insert(leaf.sleds, place, *changed)
		}
	}
	for j := range copied {
		leaf := &n.children[j]
		shares := make([]calibrate.Share, len(leaf.sleds))
		leaf.pan = panload.Share{}
		for i, s := range leaf.sleds {
			shares[i] = s.share
			leaf.pan = leaf.pan.Plus(s.panShare)
		}
		leaf.total = calibrate.Total(shares)
	}
	totals := make([]calibrate.Share, branchingFactor)
	n.pan = panload.Share{}
	for j := range n.children {
		totals[j] = n.children[j].total
		n.pan = n.pan.Plus(n.children[j].pan)
	}
	n.total = calibrate.Total(totals)
	return resized
}

func (t *sledTree) listIDs() []string {
	var ids []string
	for _, node := range t.children {
		if node == nil {
			continue
		}
		for j := range node.children {
			for _, s := range node.children[j].sleds {
				ids = append(ids, s.Sled.ID)
			}
		}
	}
	slices.Sort(ids)
	return ids
}
