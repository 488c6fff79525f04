package main

import (
	"log/slog"
	"testing"

	"github.com/stretchr/testify/assert"

	"evenpull/openapi"
)

func TestServerZone_HasAName(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ local, link, want string }{
		{"America/Chicago", "", "America/Chicago"},
		{"UTC", "", "UTC"},
		{"Local", "/usr/share/zoneinfo/America/Chicago", "America/Chicago"},
		{"Local", "/var/db/timezone/zoneinfo/Europe/Berlin", "Europe/Berlin"},
		{"/usr/share/zoneinfo/America/Chicago", "", "America/Chicago"},
	} {
		said := new(output)
		assert.Equal(t, c.want, serverZone(c.local, c.link, slog.New(slog.NewTextHandler(said, nil))).String(), c)
		assert.Empty(t, said.String())
	}
	for _, c := range []struct{ local, link string }{{"Local", ""}, {"Local", "/etc/localtime"}, {"EST5EDT", ""}} {
		said := new(output)
		assert.Equal(t, "UTC", serverZone(c.local, c.link, slog.New(slog.NewTextHandler(said, nil))).String(), c)
		assert.Contains(t, said.String(), "set TZ to a name")
	}
}

// A show is given a zone, keeps it when it is replaced without one, and a name that is none is refused.
func TestShow_HasTheZoneOfItsPlace(t *testing.T) {
	t.Parallel()
	p := start(t)
	smallFleet(t, p)
	show := map[string]any{"name": "Far Pull", "date": "2099-07-18", "sled": "fescue", "classes": []string{}}
	there := into[openapi.Show](t, p.do(post("/v1/shows", show)), 201)
	assert.NotEmpty(t, there.Zone, "the server's")
	show["zone"] = "Pacific/Honolulu"
	path := "/v1/shows/" + there.Id
	stored := p.do(put(path, show).with("If-Match", p.do(get(path)).Header.Get("ETag")))
	assert.Equal(t, "Pacific/Honolulu", into[openapi.Show](t, stored, 200).Zone)
	delete(show, "zone")
	stored = p.do(put(path, show).with("If-Match", stored.Header.Get("ETag")))
	assert.Equal(t, "Pacific/Honolulu", into[openapi.Show](t, stored, 200).Zone)
	assert.Equal(t, "Pacific/Honolulu", into[openapi.Sheet](t, p.do(get(path+"/sheet")), 200).Zone)
	show["zone"] = "Far/Away"
	refused := problemOf(t, p.do(put(path, show).with("If-Match", stored.Header.Get("ETag"))), 422)
	assert.Equal(t, "zone", refused.Errors[0].At)
}
