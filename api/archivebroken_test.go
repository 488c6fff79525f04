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

// What goes wrong when part of a document is sent already breaks the connection off: nobody takes half a fleet for a
// whole one.
func TestArchive_RefusesHalfAnExport(t *testing.T) {
	t.Parallel()
	storetest.OnFileOnly(t) // it is damaged behind the program's back
	p := demo(t)
	require.Greater(t, len(p.export()), 1<<17, "part of it is sent before its end is reached")
	db, err := sql.Open("sqlite3", p.db)
	require.NoError(t, err)
	_, err = db.Exec(`INSERT INTO history (at, key_id, who, role, act, kind, subject, after)
		VALUES (1, '', 'x', 'manager', 'added', 'sled', 'x', '{broken')`)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	for _, encoding := range []string{"identity", "gzip"} {
		_, err := p.try(get("/v1/export").as(testKey).with("Accept-Encoding", encoding))
		assert.ErrorIs(t, err, io.ErrUnexpectedEOF, encoding)
	}
	assert.Contains(t, p.stderr.String(), "an export broke off")
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
