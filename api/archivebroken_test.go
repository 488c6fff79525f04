package main

import (
	"bufio"
	"database/sql"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"evenpull/internal/store/storetest"
	"evenpull/openapi"
)

// What goes wrong when part of a document is written already is told in its place: nobody takes half a fleet for a
// whole one.
func TestArchive_RefusesHalfAnExport(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t) // it is damaged behind the program's back
	p := demo(t)
	require.Greater(t, len(p.export()), 1<<17, "part of it is written before its end is reached")
	db, err := sql.Open("sqlite3", p.db)
	require.NoError(t, err)
	_, err = db.Exec(`INSERT INTO history (at, key_id, who, role, act, kind, subject, after)
		VALUES (1, '', 'x', 'manager', 'added', 'sled', 'x', '{broken')`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	for _, encoding := range []string{"identity", "gzip"} {
		got := p.do(get("/v1/export").as(testKey).with("Accept-Encoding", encoding))
		problemOf(t, got, http.StatusInternalServerError)
		assert.Empty(t, got.Header.Get("Content-Disposition"), encoding)
	}
	assert.Contains(t, p.stderr.String(), "request failed")
	assert.Equal(t, http.StatusOK, p.do(get("/readyz")).StatusCode, "the program goes on")
}

func TestArchive_AnswersHead(t *testing.T) {
	t.Parallel()
	p := demo(t)
	head := get("/v1/export").as(testKey)
	head.method = http.MethodHead
	got := p.do(head)
	assert.Equal(t, http.StatusOK, got.StatusCode)
	assert.Equal(t, "application/json", got.Header.Get("Content-Type"))
	assert.Contains(t, got.Header.Get("Content-Disposition"), "attachment")
}

// However many take a document slowly, the database answers others, and each gets all of it.
func TestArchive_HoldsNoConnectionOfTheDatabaseForASlowReader(t *testing.T) {
	t.Parallel()
	p := demo(t)
	rows := strings.Repeat("bluestem,B,0,262,2025-05-10,"+strings.Repeat("dry and hard ", 150)+"\n", 3800)
	into[openapi.Accepted](t, p.do(csvPost("/v1/readings?repeated=keep",
		"sled,gear,start_ft,distance_ft,measured_on,note\n"+rows)), 201)
	document := p.export()
	require.Greater(t, len(document), 8<<20, "more than connections hold")
	var readers []*http.Response
	for range 8 { // as many connections as there are to a server; to a file there are fewer
		conn, err := net.Dial("tcp", strings.TrimPrefix(p.address, "http://"))
		require.NoError(t, err)
		defer conn.Close()
		_, err = fmt.Fprintf(conn, "GET /v1/export HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\n\r\n", testKey)
		require.NoError(t, err)
		began, err := http.ReadResponse(bufio.NewReader(conn), nil)
		require.NoError(t, err)
		require.Equal(t, http.StatusOK, began.StatusCode)
		readers = append(readers, began)
	}
	assert.Equal(t, http.StatusOK, p.do(get("/readyz")).StatusCode)
	for _, r := range readers {
		body, err := io.ReadAll(r.Body)
		require.NoError(t, err, "the database answers once readers have been cut")
		assert.True(t, document == string(body), "another document")
	}
}

// A document is larger than other bodies may be, and has a limit of its own, which a client that asks first, as curl
// does, is told before any of it is read.
func TestArchive_HasALargestSize(t *testing.T) {
	t.Parallel()
	p := start(t)
	space := strings.Repeat(" ", 2<<20)
	got := p.do(post("/v1/import", strings.NewReader(`{"format": "evenpull-fleet-1",`+space+`"sleds": []}`)))
	assert.Equal(t, http.StatusOK, got.StatusCode, "%s", got.body)
	conn, err := net.Dial("tcp", strings.TrimPrefix(p.address, "http://"))
	require.NoError(t, err)
	defer conn.Close()
	_, err = fmt.Fprintf(conn, "POST /v1/import HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer %s\r\nContent-Type: "+
		"application/json\r\nContent-Length: %d\r\nExpect: 100-continue\r\n\r\n", testKey, 512<<20+1)
	require.NoError(t, err)
	response, err := http.ReadResponse(bufio.NewReader(conn), nil)
	require.NoError(t, err)
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	assert.Equal(t, http.StatusRequestEntityTooLarge, response.StatusCode)
	assert.Contains(t, string(body), "512 MiB")
}

// Each thing that is wrong is named where it stands, as in any other answer.
func TestArchive_NamesAFaultByItsPlace(t *testing.T) {
	t.Parallel()
	full, p := demo(t), start(t)
	document := full.export()
	for _, swap := range [][2]string{{`"rail_mark_ft":0.5`, `"rail_mark_ft":"half"`},
		{`"distance_ft":`, `"distance_ft":-`}, {`"from_hook":1`, `"from_hook":0`}} {
		require.Contains(t, document, swap[0])
		document = strings.Replace(document, swap[0], swap[1], 1)
	}
	problem := problemOf(t, p.do(post("/v1/import", document)), http.StatusUnprocessableEntity)
	assert.Equal(t, []string{"sleds[0].rail_mark_ft", "readings[0].distance_ft", "shows[0].as_run[0].from_hook"},
		faultsAt(problem))
	assert.Empty(t, into[openapi.SledPage](t, p.do(get("/v1/sleds")), 200).Items)
	assert.Empty(t, into[openapi.HistoryPage](t, p.do(get("/v1/history").as(testKey)), 200).Items)
}
