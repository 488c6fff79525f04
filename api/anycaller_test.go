package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"evenpull/api/internal/reply"
	"evenpull/api/internal/spreadsheet"
)

// caller is a client that sends whatever it likes.
type caller struct {
	*anything
	p     *program
	http  *http.Client
	known *known
	drawn *tally
	again *repeat // a request with an Idempotency-Key that succeeded
}

type repeat struct {
	shot   shot
	status int
	body   []byte
}

// What can be made wrong about a request.
var wrongs = []string{
	"a parameter", "a parameter", "an unknown parameter", "the query", "the path", "the method", "the body", "the body",
	"the body", "the body", "the body as text", "the type of the body", "the key",
	"the condition", "the idempotency key", "the address", "the size",
}

// lookAround reads the lists, as anybody does who has just come.
func (c *caller) lookAround() {
	for _, id := range []string{"listSleds", "listClasses", "listShows"} {
		i := slices.IndexFunc(c.drawn.operations, func(op anyOperation) bool { return op.id == id })
		op := c.drawn.operations[i]
		c.send(shot{op: op, method: op.method, path: op.path, header: http.Header{}})
	}
}

// once draws a request and sends it.
func (c *caller) once() {
	if c.again != nil && c.chance(0.3) {
		c.repeatIt()
		return
	}
	s := c.draw()
	if _, conditional := s.header["If-Match"]; conditional && c.chance(0.7) { // as people do, who read first
		c.send(shot{op: c.reading(s.op), method: "GET", path: s.path, header: http.Header{}})
		if s.wrong != "the condition" {
			s.header.Set("If-Match", c.known.etags[s.path])
		}
		if s.wrong == "" {
			s.body = c.bodyFor(s)
		}
	}
	c.send(s)
}

// reading is the GET beside an operation.
func (c *caller) reading(op anyOperation) anyOperation {
	i := slices.IndexFunc(c.drawn.operations,
		func(o anyOperation) bool { return o.path == op.path && o.method == "GET" })
	if i < 0 {
		return op
	}
	return c.drawn.operations[i]
}

func (c *caller) operation() anyOperation {
	at := c.Float64() * c.drawn.total
	for _, op := range c.drawn.operations {
		if at -= op.share; at < 0 {
			return op
		}
	}
	return c.drawn.operations[0]
}

func (c *caller) draw() shot {
	op := c.operation()
	s := shot{op: op, method: op.method, path: op.path, header: http.Header{}}
	if c.chance(0.4) {
		s.wrong = one(c.anything, wrongs)
	}
	c.fillPath(&s)
	c.fillQuery(&s)
	c.fillHeaders(&s)
	s.body = c.bodyFor(s)
	c.spoilRest(&s)
	return s
}

func (c *caller) fillPath(s *shot) {
	if line := "{line}"; strings.Contains(s.path, line) && len(c.known.runLines) > 0 {
		is := one(c.anything, c.known.runLines)
		s.path = strings.NewReplacer("{show}", is[0], "{class_id}", is[1], "{line}", is[2]).Replace(s.path)
	}
	if strings.Contains(s.path, "/classes/{class_id}/") { // a class that the show lists
		show := c.some(c.known, "show")
		class := c.some(c.known, "class")
		if listed := listed(c.known.docs["/v1/shows/"+escaped(show)], "classes"); len(listed) > 0 && c.chance(0.9) {
			class = one(c.anything, listed).(string)
		}
		s.path = strings.NewReplacer("{show}", escaped(show), "{class_id}", escaped(class)).Replace(s.path)
	}
	spoil := s.wrong == "the path"
	for _, p := range s.op.parameters {
		if p.In == openapi3.ParameterInPath {
			value := c.some(c.known, strings.TrimSuffix(p.Name, "_id"))
			if spoil {
				value = c.text(0, 200)
			}
			s.path = strings.ReplaceAll(s.path, "{"+p.Name+"}", escaped(value))
		}
	}
	if s.wrong == "the address" {
		s.path = one(c.anything, []string{s.path + "/", s.path + "/more", "/v1" + s.path, "/v2/sleds",
			"/" + escaped(c.text(0, 40)), strings.ToUpper(s.path), "/v1//sleds", "/v1/sleds/..%2f"})
	}
}

func (c *caller) fillQuery(s *shot) {
	var pairs []string
	asked := segment(s.path, 3) // the sled that gears are of
	add := func(name, value string) { pairs = append(pairs, url.QueryEscape(name)+"="+url.QueryEscape(value)) }
	byGear := c.chance(0.7) // where the contract leaves open whether a question is by gear or by distance
	for _, p := range s.op.parameters {
		needed := p.Required || byGear && slices.Contains([]string{"sled", "gear"}, p.Name)
		if p.In != openapi3.ParameterInQuery || !needed && !c.chance(0.3) {
			continue
		}
		if byGear && slices.Contains([]string{"top_out_ft", "one_pull"}, p.Name) && c.chance(0.9) {
			continue
		}
		if p.Name == "after" && len(c.known.cursors[s.path]) == 0 && c.chance(0.9) {
			continue
		}
		if p.Name == "gear" && s.path == s.op.path { // the sled stands in the query too
			add(p.Name, c.label(c.known, asked))
			continue
		}
		schema, times := p.Schema.Value, 1
		if schema.Type.Is(openapi3.TypeArray) {
			times, schema = 1+c.IntN(3), schema.Items.Value
			if c.chance(0.005) {
				times = int(*p.Schema.Value.MaxItems) + c.IntN(2)
			}
		}
		for range times {
			value := c.parameter(s, p.Name, asked, schema)
			if p.Name == "sled" {
				asked = value
			}
			add(p.Name, value)
		}
	}
	switch s.wrong {
	case "a parameter":
		if len(pairs) > 0 {
			i := c.IntN(len(pairs))
			name, _, _ := strings.Cut(pairs[i], "=")
			pairs[i] = name + "=" + url.QueryEscape(fmt.Sprint(c.wrong()))
			if c.chance(0.3) {
				pairs = append(pairs, pairs[i])
			}
		}
	case "an unknown parameter":
		add(c.text(0, 30), c.text(0, 30))
	}
	s.query = strings.Join(pairs, "&")
	if s.wrong == "the query" {
		s.query += one(c.anything, []string{"%", "%zz", ";", "&&&", "=", "a=%00", "=&=", "%ff", "a=1;b=2",
			"sled=bluestem;on=x"})
	}
}

// parameter is a value of the query, as text.
func (c *caller) parameter(s *shot, name, asked string, schema *openapi3.Schema) string {
	switch name {
	case "sled", "on", "reference":
		return c.some(c.known, "sled")
	case "gear":
		return c.label(c.known, asked)
	case "show":
		return c.some(c.known, "show")
	case "who":
		return one(c.anything, names)
	case "after":
		if cursors := c.known.cursors[s.path]; len(cursors) > 0 {
			return one(c.anything, cursors)
		}
	case "gear_set":
		var ratios []string
		for range max(1, len(c.known.labels(asked))) {
			ratios = append(ratios, strconv.FormatFloat(1+float64(c.IntN(20))/10, 'f', -1, 64))
		}
		return strings.Join(ratios, ",")
	}
	switch v := c.fitting(schema).(type) {
	case float64:
		return strconv.FormatFloat(v, 'f', -1, 64)
	default:
		return fmt.Sprint(v)
	}
}

func (c *caller) fillHeaders(s *shot) {
	h := s.header
	for _, p := range s.op.parameters {
		switch {
		case p.In != openapi3.ParameterInHeader:
		case p.Name == "If-Match":
			h.Set(p.Name, c.known.etags[s.path])
			if s.wrong == "the condition" {
				h.Set(p.Name, one(c.anything, []string{"", "*", `"1-0.x"`, "W/" + h.Get(p.Name), "x", `"`, `"a", "b"`,
					strings.Repeat("x", 300), h.Get(p.Name) + "," + h.Get(p.Name)}))
			}
		case p.Name == "If-None-Match" && c.chance(0.2):
			h.Set(p.Name, one(c.anything, []string{c.known.etags[s.path], "*", `W/"x"`, "x", `"`, "W/",
				strings.Repeat(`"a",`, 400), strings.Repeat("x", 2001)}))
		case p.Name == "Idempotency-Key" && c.chance(0.3):
			h.Set(p.Name, strconv.FormatUint(c.Uint64(), 36))
			if s.wrong == "the idempotency key" {
				h.Set(p.Name, one(c.anything, []string{"", " ", "é", "again", strings.Repeat("k", 201),
					strings.Repeat("k", 200), "\t"}))
			}
		}
	}
	if c.chance(0.2) {
		h.Set("Accept-Encoding", one(c.anything, []string{"gzip", "gzip;q=0", "*", "br, gzip;q=0.5", "gzip;q=x"}))
	}
	if c.chance(0.15) { // which decides nothing
		h.Set("Accept", one(c.anything,
			[]string{"text/csv", "*/*", "application/json", "image/png", ";;;", "*/*;q=0", "/",
				strings.Repeat("text/csv,", 500)}))
	}
	c.fillKey(s)
}

// fillKey sends a key with what needs one: mostly the manager's, or a browser's cookie.
func (c *caller) fillKey(s *shot) {
	h := s.header
	switch {
	case s.wrong == "the key":
		s.bare = true
		for _, v := range one(c.anything,
			[][]string{{}, {"Bearer not-the-key-of-anything"}, {"Basic " + testKey}, {"Bearer"}, {"Bearer "}, {testKey},
				{"Bearer " + testKey + "x"}, {"Bearer " + testKey, "Bearer x"}, {"bearer\t" + testKey[1:]}}) {
			h.Add("Authorization", v)
		}
	case c.chance(0.1) && s.op.secured && len(c.known.cookies) > 0:
		h.Set("Cookie", one(c.anything, c.known.cookies))
		origin := one(c.anything, []string{c.p.address, c.p.address, "https://elsewhere.example", ""})
		if origin != "" {
			h.Set("Origin", origin)
		}
		if c.chance(0.5) {
			h.Set("Sec-Fetch-Site", one(c.anything, []string{"same-origin", "cross-site", "none"}))
		}
	case s.op.secured && c.chance(0.1):
		h.Set("Authorization", "Bearer "+c.key(c.known))
	case s.op.secured || c.chance(0.1):
		h.Set("Authorization", "Bearer "+testKey)
	}
}

// bodyFor draws the body of a request and says of which type it is.
func (c *caller) bodyFor(s shot) []byte {
	if s.op.RequestBody == nil {
		return nil
	}
	content := s.op.RequestBody.Value.Content
	if content.Get(reply.TypeCSV) != nil && c.chance(0.5) {
		s.header.Set("Content-Type", one(c.anything,
			[]string{reply.TypeCSV, "text/csv; charset=utf-8", "text/csv; header=present"}))
		return c.sheet(s.wrong == "the body" || s.wrong == "the body as text")
	}
	s.header.Set("Content-Type", one(c.anything,
		[]string{reply.TypeJSON, reply.TypeJSON, "application/json; charset=UTF-8"}))
	ref := content.Get(reply.TypeJSON).Schema
	value := c.mended(c.known, strings.TrimPrefix(ref.Ref, "#/components/schemas/"), s.path, c.fitting(ref.Value))
	if s.wrong == "the body" {
		value = c.spoiled(value)
	}
	return c.encoded(value, s.wrong == "the body as text")
}

// sheet is an import of a few rows.
func (c *caller) sheet(spoil bool) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = c.chance(0.5)
	meters := c.chance(0.3)
	w.Write([]string{"sled", "gear", "start_ft", map[bool]string{false: "distance_ft", true: "distance_m"}[meters],
		"measured_on", "note"})
	for range c.IntN(5) + 1 {
		sled := c.some(c.known, "sled")
		distance := 180 + float64(c.IntN(200))/2
		if meters {
			distance *= 0.3048
		}
		row := []string{sled, spreadsheet.Text(c.label(c.known, sled)), "0", strconv.FormatFloat(distance, 'f', 3, 64),
			c.date(), spreadsheet.Text(one(c.anything, names))}
		if spoil && c.chance(0.5) {
			row[c.IntN(len(row))] = fmt.Sprint(c.wrong())
		}
		w.Write(row)
	}
	w.Flush()
	text := b.Bytes()
	if !spoil || c.chance(0.4) {
		return text
	}
	at := c.IntN(len(text))
	return slices.Concat(text[:at],
		[]byte(one(c.anything, []string{`"`, ",", "\n", "\r", "\xff", "\x00", ";", "\t", "\xef\xbb\xbf",
			"\n\n\n"})), text[at:])
}

// spoilRest makes wrong what concerns the request as a whole.
func (c *caller) spoilRest(s *shot) {
	switch s.wrong {
	case "the method":
		s.method = one(c.anything, []string{"GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS", "HEAD", "TRACE",
			"PROPFIND", "get", "X"})
	case "the type of the body":
		if s.header.Del("Content-Type"); c.chance(0.8) {
			s.header.Set("Content-Type", one(c.anything,
				[]string{"text/plain", "application/x-www-form-urlencoded", "application/json; charset=latin1",
					"text/csv; charset=utf-16", "json", ";", "*/*", "application/json, text/csv"}))
		}
		if c.chance(0.2) {
			s.header.Set("Content-Encoding", "gzip")
		}
	case "the size":
		if s.op.RequestBody != nil && c.chance(0.1) {
			filler, _ := json.Marshal(map[string]string{"name": strings.Repeat("g", 1<<20)})
			s.body = filler
		}
	}
	if s.method == "GET" && s.wrong == "" && c.chance(0.05) {
		s.method = "HEAD"
	}
}

// send sends a request, holds the answer against the contract and learns from it.
func (c *caller) send(s shot) {
	var body io.Reader
	if s.body != nil {
		body = bytes.NewReader(s.body)
		if c.chance(0.05) {
			body = struct{ io.Reader }{body} // in chunks
		}
	}
	sent, err := http.NewRequest(s.method, c.p.address+s.path, body)
	if err == nil {
		sent.URL.RawQuery = s.query
		sent.Header = s.header.Clone()
		var got *http.Response
		if got, err = c.http.Do(sent); err == nil {
			c.took(s, got)
			return
		}
	}
	if !strings.Contains(err.Error(), "invalid header field") { // which no client can send
		c.drawn.add(s.op.id, 0, []string{fmt.Sprintf("no answer: %v\n%s", err, s)})
	}
}

func (c *caller) took(s shot, got *http.Response) {
	defer got.Body.Close()
	body, err := io.ReadAll(got.Body)
	if err != nil {
		c.drawn.add(s.op.id, 0, []string{fmt.Sprintf("half an answer: %v\n%s", err, s)})
		return
	}
	decoded, misfits := judge(s, got, body)
	for i := range misfits {
		misfits[i] += fmt.Sprintf("\n%s\n→ %s %.2000s", s, got.Status, body)
	}
	c.drawn.add(s.op.id, got.StatusCode, misfits)
	if got.StatusCode >= 300 || s.method != s.op.method {
		return
	}
	if etag := got.Header.Get("ETag"); etag != "" && s.query == "" {
		c.known.etags[s.path] = etag
	}
	if cookie := got.Header.Get("Set-Cookie"); cookie != "" {
		c.known.cookies = keep(c.known.cookies, strings.Split(cookie, ";")[0])
	}
	if s.method == "DELETE" {
		c.known.forget(s.path)
	}
	described := s.op.Responses.Status(got.StatusCode)
	if media := described.Value.Content.Get(reply.TypeJSON); media != nil {
		c.known.learn(media.Schema.Ref, s.path, decoded)
		c.drawn.secret(decoded)
	}
	if got.StatusCode == http.StatusCreated && s.header.Get("Idempotency-Key") != "" {
		s.wrong = ""
		c.again = &repeat{s, got.StatusCode, body}
	}
}

// secret notes a key that was made, which must never be seen again.
func (c *tally) secret(answer any) {
	doc, _ := answer.(map[string]any)
	if key, is := doc["key"].(string); is && doc["role"] != nil {
		c.mu.Lock()
		c.secrets = append(c.secrets, key)
		c.mu.Unlock()
	}
}
