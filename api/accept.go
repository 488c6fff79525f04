package main

import (
	"mime"
	"net/http"
	"strconv"
	"strings"
)

// preference is one entry of an Accept or Accept-Encoding header with its weight (RFC 9110, section 12.4.2).
type preference struct {
	name   string
	weight float64
}

func preferences(header http.Header, name string) []preference {
	var all []preference
	for _, line := range header.Values(name) {
		for entry := range strings.SplitSeq(line, ",") {
			what, parameters, _ := strings.Cut(entry, ";")
			p := preference{strings.ToLower(strings.TrimSpace(what)), 1}
			for one := range strings.SplitSeq(parameters, ";") {
				key, value, _ := strings.Cut(strings.TrimSpace(one), "=")
				if strings.EqualFold(key, "q") {
					p.weight, _ = strconv.ParseFloat(value, 64) // what cannot be read weighs nothing
				}
			}
			if p.name != "" {
				all = append(all, p)
			}
		}
	}
	return all
}

// negotiate picks the offered media type that is wanted most, the earlier one of two wanted alike. It is empty
// when none will do.
func negotiate(header http.Header, offered ...string) string {
	wanted := preferences(header, "Accept")
	if len(wanted) == 0 {
		return offered[0]
	}
	best, most := "", 0.0
	for _, offer := range offered {
		if weight := weightOf(offer, wanted); weight > most {
			best, most = offer, weight
		}
	}
	return best
}

// weightOf goes by the entry that fits most closely: text/csv before text/* before */*.
func weightOf(offer string, wanted []preference) float64 {
	kind, _, _ := strings.Cut(offer, "/")
	weight, closest := 0.0, 0
	for _, p := range wanted {
		fit := 0
		switch p.name {
		case offer:
			fit = 3
		case kind + "/*":
			fit = 2
		case "*/*":
			fit = 1
		}
		if fit > closest {
			weight, closest = p.weight, fit
		}
	}
	return weight
}

// takesGzip says whether an answer may be sent compressed.
func takesGzip(header http.Header) bool {
	if header.Get("Accept-Encoding") == "" {
		return false
	}
	named, wild := -1.0, 0.0
	for _, p := range preferences(header, "Accept-Encoding") {
		switch p.name {
		case "gzip":
			named = p.weight
		case "*":
			wild = p.weight
		}
	}
	if named >= 0 {
		return named > 0
	}
	return wild > 0
}

// mediaTypeOf is a content type without its parameters.
func mediaTypeOf(contentType string) string {
	media, _, err := mime.ParseMediaType(contentType)
	if err != nil {
		return ""
	}
	return media
}
