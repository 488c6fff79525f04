package reply

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"slices"
	"strings"
	"time"

	"evenpull/internal/fleet"
)

// etagOf is the ETag of what is computed: a hash of its bytes. It is weak, because the same answer may travel
// compressed or not (RFC 9110, section 8.8.1).
func etagOf(body []byte) string {
	sum := sha256.Sum256(body)
	return `W/"` + base64.RawURLEncoding.EncodeToString(sum[:12]) + `"`
}

// strongETag has two parts with a dot between: the state of the document that a change is made for, and a hash of what
// is sent, which may move (a count of readings, today's chart) without being a reason to refuse a change.
func strongETag(state string, body []byte) string {
	sum := sha256.Sum256(body)
	return fmt.Sprintf(`"%s.%s"`, state, base64.RawURLEncoding.EncodeToString(sum[:6]))
}

// StateOf names the state of a document. It also holds when the document was made: one that was deleted and made again
// begins at revision 1 again.
func StateOf(revision int64, created time.Time) string {
	return fmt.Sprintf("%d-%x", revision, created.UnixMicro())
}

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
		quoted, weak := strings.CutPrefix(rest, "W/")
		opened, ok := strings.CutPrefix(quoted, `"`)
		opaque, after, closed := strings.Cut(opened, `"`)
		after = strings.TrimLeft(after, " \t")
		if !ok || !closed || after != "" && after[0] != ',' {
			return condition{}, false
		}
		c.tags = append(c.tags, tag{opaque, weak})
		rest = strings.TrimLeft(after, ", \t")
	}
	return c, len(c.tags) > 0
}

// stillHolds says whether If-None-Match names this ETag: the weak comparison (RFC 9110, section 13.1.2).
func stillHolds(header, etag string) bool {
	c, _ := parseCondition(header)
	opaque := strings.Trim(strings.TrimPrefix(etag, "W/"), `"`)
	return c.any || slices.ContainsFunc(c.tags, func(t tag) bool { return t.opaque == opaque })
}

// IfMatch makes the check of an If-Match header (section 13.1.1): a change must be made for the document as it is.
// state says what the document is called and which state it is in. Without a header it is a fleet.NoCondition error,
// and where the document is in another state the check gives a fleet.Changed one.
func IfMatch[T any](header *string, state func(T) (name, state string)) (func(T) error, error) {
	if header == nil || *header == "" {
		return nil, fleet.Errorf(fleet.NoCondition,
			"send If-Match with the ETag as you read it, so that nobody's change is overwritten unseen")
	}
	return IfMatchGiven(header, state)
}

// IfMatchGiven is IfMatch for a change that may be made without the header: then the check lets everything pass.
func IfMatchGiven[T any](header *string, state func(T) (name, state string)) (func(T) error, error) {
	if header == nil || *header == "" {
		return func(T) error { return nil }, nil
	}
	c, ok := parseCondition(*header)
	if !ok {
		faults := new(fleet.Faults)
		faults.Add("If-Match", `must be an ETag in its quotes, as it came, not %s`, fleet.Quoted(*header))
		return nil, faults.Err()
	}
	return func(document T) error {
		name, is := state(document)
		if c.any || slices.ContainsFunc(c.tags, func(t tag) bool {
			of, _, _ := strings.Cut(t.opaque, ".")
			return !t.weak && of == is
		}) {
			return nil
		}
		return fleet.Errorf(fleet.Changed, "somebody changed %s meanwhile; read it again and make the change on that",
			name)
	}, nil
}
