package main

import (
	"net/http"
	"strconv"
	"strings"
)

// takesGzip says whether an answer may be sent compressed: whether Accept-Encoding gives gzip, or else *, a weight (RFC 9110,
// section 12.5.3).
func takesGzip(header http.Header) bool {
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

// weightIn is the weight among the parameters of an entry, 1 where there is none, 0 where it cannot be read (section 12.4.2).
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
