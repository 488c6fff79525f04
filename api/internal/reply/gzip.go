package reply

import (
	"bytes"
	"compress/gzip"
	"net/http"
	"strconv"
	"strings"
	"sync"
)

// leastZipped is how many bytes are worth compressing: fewer fit one packet anyway.
const leastZipped = 1024

var zippers = sync.Pool{New: func() any { return gzip.NewWriter(nil) }}

// Zipped is the answer compressed.
func (a Answer) Zipped() Answer {
	var b bytes.Buffer
	z := zippers.Get().(*gzip.Writer)
	defer zippers.Put(z)
	z.Reset(&b)
	z.Write(a.Body) // a Buffer takes everything
	z.Close()
	a.Body, a.Encoding = b.Bytes(), "gzip"
	return a
}

// fitFor compresses an answer that is worth it for whoever asks. A document that is changed with If-Match has a strong
// ETag, so that it goes uncompressed; it is small.
func (a Answer) fitFor(r *http.Request) Answer {
	if a.Encoding == "" && len(a.Body) >= leastZipped && a.ETag != "" && a.ETag[0] == 'W' && TakesGzip(r.Header) {
		return a.Zipped()
	}
	return a
}

// TakesGzip says whether an answer may be sent compressed: whether Accept-Encoding gives gzip, or else *, a weight (RFC
// 9110, section 12.5.3).
func TakesGzip(header http.Header) bool {
	named, wild := -1.0, 0.0
	for _, line := range header.Values("Accept-Encoding") {
		for entry := range strings.SplitSeq(line, ",") {
			coding, parameters, _ := strings.Cut(entry, ";")
			switch strings.ToLower(strings.TrimSpace(coding)) {
			case "gzip":
				named = weightIn(parameters)
			case "*":
				wild = weightIn(parameters)
			}
		}
	}
	if named >= 0 {
		return named > 0
	}
	return wild > 0
}

// weightIn is the weight among the parameters of an entry, 1 where there is none, 0 where it cannot be read (section
// 12.4.2).
func weightIn(parameters string) float64 {
	weight := 1.0
	for one := range strings.SplitSeq(parameters, ";") {
		key, value, _ := strings.Cut(strings.TrimSpace(one), "=")
		if strings.EqualFold(key, "q") {
			weight, _ = strconv.ParseFloat(value, 64)
		}
	}
	return weight
}
