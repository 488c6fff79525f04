package reply

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// streaming serves what write writes.
func streaming(t *testing.T, s *Streams, body Body, write func(io.Writer) error) (address string, broken chan error) {
	t.Helper()
	e := echo.New()
	broken = make(chan error, 10)
	e.Any("/", func(c echo.Context) error {
		return s.Send(c, body, write, func(err error) { broken <- err })
	})
	server := httptest.NewServer(e)
	t.Cleanup(server.Close)
	return server.URL, broken
}

func ask(t *testing.T, method, address string, header map[string]string) (*http.Response, []byte, error) {
	t.Helper()
	r, err := http.NewRequest(method, address, nil)
	require.NoError(t, err)
	for name, value := range header {
		r.Header.Set(name, value)
	}
	client := &http.Client{Transport: &http.Transport{DisableCompression: true, DisableKeepAlives: true}}
	got, err := client.Do(r)
	require.NoError(t, err)
	defer got.Body.Close()
	b, err := io.ReadAll(got.Body)
	return got, b, err
}

func TestStreams_SendTheSameCompressedAndPlain(t *testing.T) {
	t.Parallel()
	text := strings.Repeat("C,0,262.5\r\n", 5000)
	address, _ := streaming(t, NewStreams(time.Minute, 1), Body{ContentType: TypeCSV, ETag: `W/"now"`, Long: true},
		func(out io.Writer) error { _, err := io.WriteString(out, text); return err })

	plain, b, err := ask(t, "GET", address, nil)
	require.NoError(t, err)
	assert.Equal(t, text, string(b))
	assert.Empty(t, plain.Header.Get("Content-Encoding"))
	assert.Equal(t, `W/"now"`, plain.Header.Get("ETag"))
	for range 3 { // the compressor is used again
		zipped, b, err := ask(t, "GET", address, map[string]string{"Accept-Encoding": "gzip"})
		require.NoError(t, err)
		require.Equal(t, "gzip", zipped.Header.Get("Content-Encoding"))
		r, err := gzip.NewReader(bytes.NewReader(b))
		require.NoError(t, err)
		unzipped, err := io.ReadAll(r)
		require.NoError(t, err)
		assert.Equal(t, text, string(unzipped))
	}
	again, b, err := ask(t, "GET", address, map[string]string{"If-None-Match": `W/"now"`})
	require.NoError(t, err)
	assert.Equal(t, http.StatusNotModified, again.StatusCode)
	assert.Empty(t, b)
	head, b, err := ask(t, "HEAD", address, nil)
	require.NoError(t, err)
	assert.Equal(t, http.StatusOK, head.StatusCode)
	assert.Empty(t, b)
}

// More streams than there are compressors go on, uncompressed.
func TestStreams_CompressSoManyAtOnce(t *testing.T) {
	t.Parallel()
	let, begun := make(chan struct{}), make(chan struct{}, 2)
	address, _ := streaming(t, NewStreams(time.Minute, 1), Body{ContentType: TypeCSV}, func(out io.Writer) error {
		_, err := io.WriteString(out, strings.Repeat("gear", leastZipped))
		begun <- struct{}{}
		<-let
		return err
	})
	encodings := make(chan string, 2)
	for range 2 {
		go func() {
			got, _, err := ask(t, "GET", address, map[string]string{"Accept-Encoding": "gzip"})
			assert.NoError(t, err)
			encodings <- got.Header.Get("Content-Encoding")
		}()
	}
	<-begun
	<-begun
	close(let)
	assert.ElementsMatch(t, []string{"gzip", ""}, []string{<-encodings, <-encodings})
}

func TestStreams_SayBeforeTheFirstByteWhatGoesWrong(t *testing.T) {
	t.Parallel()
	address, broken := streaming(t, NewStreams(time.Minute, 1), Body{ContentType: TypeCSV, ETag: `W/"now"`},
		func(io.Writer) error { return echo.NewHTTPError(http.StatusNotFound, "no sled") })
	for _, encoding := range []string{"identity", "gzip"} {
		got, _, err := ask(t, "GET", address, map[string]string{"Accept-Encoding": encoding})
		require.NoError(t, err)
		assert.Equal(t, http.StatusNotFound, got.StatusCode)
		assert.Empty(t, got.Header.Get("ETag"))
	}
	assert.Empty(t, broken)
}

func TestStreams_BreakOffWhatGoesWrongLater(t *testing.T) {
	t.Parallel()
	address, broken := streaming(t, NewStreams(time.Minute, 1), Body{ContentType: TypeCSV}, func(out io.Writer) error {
		if _, err := io.WriteString(out, strings.Repeat("a", 100_000)); err != nil {
			return err
		}
		return errors.New("the disk is gone")
	})
	_, _, err := ask(t, "GET", address, nil)
	assert.ErrorIs(t, err, io.ErrUnexpectedEOF)
	assert.ErrorContains(t, <-broken, "the disk is gone")
}

// A reader who takes nothing gets no further than what the connection buffers, and is cut; one who takes a little at a
// time gets all of it, however long it takes.
func TestStreams_CutAReaderWhoTakesNothing(t *testing.T) {
	t.Parallel()
	const size = 64 << 20
	const patience = 300 * time.Millisecond
	var written atomic.Int64
	address, broken := streaming(t, NewStreams(patience, 1), Body{ContentType: TypeCSV}, func(out io.Writer) error {
		piece := make([]byte, 1<<16)
		for range size / len(piece) {
			n, err := out.Write(piece)
			written.Add(int64(n))
			if err != nil {
				return err
			}
		}
		return nil
	})
	conn, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
	require.NoError(t, err)
	defer conn.Close()
	_, err = io.WriteString(conn, "GET / HTTP/1.1\r\nHost: x\r\n\r\n")
	require.NoError(t, err)
	assert.ErrorIs(t, <-broken, os.ErrDeadlineExceeded)
	assert.Less(t, written.Load(), int64(size/2), "what was not taken was not made either")

	written.Store(0)
	slow, err := net.Dial("tcp", strings.TrimPrefix(address, "http://"))
	require.NoError(t, err)
	defer slow.Close()
	_, err = io.WriteString(slow, "GET / HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n")
	require.NoError(t, err)
	began, got := time.Now(), int64(0)
	for time.Since(began) < 3*patience {
		n, err := io.CopyN(io.Discard, slow, 1<<20)
		got += n
		require.NoError(t, err)
		time.Sleep(patience / 6)
	}
	rest, err := io.Copy(io.Discard, slow)
	require.NoError(t, err)
	assert.Greater(t, got+rest, int64(size))
	assert.Empty(t, broken)
}
