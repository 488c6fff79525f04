package main

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"strings"

	"evenpull/internal/fleet"
)

// etagOf is the ETag of what is computed: a hash of its bytes. It is weak, because the same answer may travel
// compressed or not (RFC 9110, section 8.8.1).
func etagOf(body []byte) string {
	sum := sha256.Sum256(body)
	return `W/"` + base64.RawURLEncoding.EncodeToString(sum[:12]) + `"`
}

// etagOfSled is strong. Its first part, up to the last dot, is the state of the document that a correction is
// made for; the last is the number of readings, which changes what is sent but is no reason to refuse a
// correction.
func etagOfSled(s fleet.Sled) string {
	return fmt.Sprintf(`"%s.%d"`, sledState(s), s.Readings)
}

// sledState also holds when the sled was made: one that was deleted and made again begins at revision 1 again.
func sledState(s fleet.Sled) string { return fmt.Sprintf("%d-%x", s.Revision, s.CreatedAt.UnixMicro()) }

// condition is the content of an If-Match or If-None-Match header.
type condition struct {
	any  bool // *
	tags []tag
}

type tag struct {
	opaque string // without the quotes
	weak   bool
}

// parseCondition reads a list of ETags, or *. It is false where the header is neither.
func parseCondition(header string) (condition, bool) {
	rest := strings.TrimSpace(header)
	if rest == "*" {
		return condition{any: true}, true
	}
	var c condition
	for rest != "" {
		var t tag
		rest, t.weak = strings.CutPrefix(rest, "W/")
		opened, ok := strings.CutPrefix(rest, `"`)
		opaque, after, closed := strings.Cut(opened, `"`)
		if !ok || !closed {
			return condition{}, false
		}
		t.opaque = opaque
		c.tags = append(c.tags, t)
		after = strings.TrimLeft(after, " \t")
		if after != "" && after[0] != ',' {
			return condition{}, false
		}
		rest = strings.TrimLeft(after, ", \t")
	}
	return c, len(c.tags) > 0
}

// stillHolds says whether If-None-Match names this ETag: the weak comparison (RFC 9110, section 13.1.2).
func stillHolds(header, etag string) bool {
	if header == "" {
		return false
	}
	c, ok := parseCondition(header)
	if !ok {
		return false
	}
	opaque := strings.Trim(strings.TrimPrefix(etag, "W/"), `"`)
	for _, t := range c.tags {
		if t.opaque == opaque {
			return true
		}
	}
	return c.any
}

// sledMatch makes the check of If-Match (section 13.1.1): a change must be made for the sled as it is.
func sledMatch(header string) (func(fleet.Sled) error, error) {
	if header == "" {
		return nil, fleet.Errorf(fleet.NoCondition, "send If-Match with the ETag of the sled as you read it, so that nobody's change is overwritten unseen")
	}
	c, ok := parseCondition(header)
	if !ok {
		faults := new(fleet.Faults)
		faults.Add("If-Match", `must be an ETag in its quotes, as the sled came with it, not %s`, shown(header))
		return nil, faults.Err()
	}
	return func(s fleet.Sled) error {
		for _, t := range c.tags {
			state, _, _ := strings.Cut(t.opaque, ".")
			if !t.weak && state == sledState(s) {
				return nil
			}
		}
		if c.any {
			return nil
		}
		return fleet.Errorf(fleet.Changed, "somebody changed %s meanwhile; read it again and make the change on that", s.Name)
	}, nil
}
