package book

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// sledFinder finds the sleds that rows name. It is good for one transaction in which no sled changes.
type sledFinder struct {
	reads *store.Reads
	found map[string]foundSled // by what rows call them
	ids   map[string][]string  // of the sleds by folded id and name, once somebody has asked
	there string               // which sleds there are, in words
}

// foundSled is the sled that rows call by one name, or what is wrong with that name.
type foundSled struct {
	timeline *fleet.Timeline
	wrong    string
}

// mostFound is how many names are remembered at a time.
const mostFound = 10_000

// sled finds a sled by its id or, as typed, by a name that is its own alone, whatever its case, spaces and punctuation.
func (c *sledFinder) sled(name string, typed bool) (foundSled, error) {
	if f, ok := c.found[name]; ok {
		return f, nil
	}
	var f foundSled
	t, err := c.reads.Timeline(name)
	if isKind(err, fleet.NotFound) {
		if err := c.readNames(); err != nil {
			return f, err
		}
		ids := c.ids[folded(name)]
		switch {
		case typed && len(ids) == 1:
			t, err = c.reads.Timeline(ids[0])
		case typed && len(ids) > 1:
			f.wrong, err = fmt.Sprintf("%s can be %s; write which", fleet.Quoted(name), strings.Join(ids, " or ")), nil
		default:
			f.wrong, err = fmt.Sprintf("there is no sled %s; there are %s", fleet.Quoted(name), c.there), nil
		}
	}
	if err != nil {
		return f, err
	}
	if f.wrong == "" {
		f.timeline = &t
	}
	if t.Base.Retired {
		f.wrong = retiredMessage(t.Base)
	}
	if c.found == nil || len(c.found) == mostFound {
		c.found = map[string]foundSled{}
	}
	c.found[name] = f
	return f, nil
}

// readNames reads the names of all sleds, once.
func (c *sledFinder) readNames() error {
	if c.ids != nil {
		return nil
	}
	names, err := c.reads.SledNames()
	if err != nil {
		return err
	}
	c.ids = map[string][]string{}
	for _, id := range slices.Sorted(maps.Keys(names)) {
		c.ids[folded(id)] = append(c.ids[folded(id)], id)
		if name := folded(names[id]); name != folded(id) {
			c.ids[name] = append(c.ids[name], id)
		}
	}
	const most = 12
	there, others := slices.Sorted(maps.Values(names)), ""
	if len(there) > most {
		there, others = there[:most], " and others"
	}
	c.there = cmp.Or(strings.Join(there, ", "), "none yet") + others
	return nil
}

// folded is a name without case, spaces, punctuation and accents.
func folded(name string) string { return strings.ReplaceAll(fleet.Slug(name), "-", "") }
