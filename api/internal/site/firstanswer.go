package site

import (
	"bytes"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"time"

	"github.com/labstack/echo/v4"
)

// stylesCookie marks a browser that was sent a page with an answer before, and so has the style sheets. It says nothing
// of who that is.
const stylesCookie = "evenpull-styles"

// isFirstAnswer tells whether a browser is sent its first answer, and marks it.
func isFirstAnswer(c echo.Context) bool {
	if _, err := c.Cookie(stylesCookie); err == nil {
		return false
	}
	c.SetCookie(&http.Cookie{Name: stylesCookie, Value: "1", Path: "/", HttpOnly: true, SameSite: http.SameSiteLaxMode,
		MaxAge: int((365 * 24 * time.Hour).Seconds())})
	return true
}

var bodyBegins = regexp.MustCompile(`<body[^>]*>`)

// answerFirst puts an answer in plain type at the start of a page's body, and the page's style sheets, which hide it,
// behind it. A browser paints nothing before the style sheets of the head have come, but what stands before those of
// the body at once (HTML Standard, "body-ok"): over a poor line the answer is read a round trip earlier. A browser that
// has the style sheets would show plain type for a moment without need.
func (p Pages) answerFirst(page []byte, name string, with answer) ([]byte, error) {
	var first bytes.Buffer
	first.Write(bodyBegins.Find(page))
	if err := p.documents.ExecuteTemplate(&first, "unstyled", with.unstyled(name)); err != nil {
		return nil, fmt.Errorf("the answer in plain type: %w", err)
	}
	for _, link := range styleSheet.FindAll(page, -1) {
		first.Write(link)
	}
	bare := styleSheet.ReplaceAll(page, nil)
	at := bodyBegins.FindIndex(bare)
	return slices.Concat(bare[:at[0]], first.Bytes(), bare[at[1]:]), nil
}

// sentences are the sentences of an answer.
type sentences struct {
	Asked, Headline string
	More            []string
}

func (a answer) unstyled(page string) sentences {
	if page == pullersPage {
		return sentences{Headline: a.ForPullers.Headline + " " + a.ForPullers.Meaning,
			More: []string{a.Sure, a.Caution}}
	}
	return sentences{Asked: a.Asked, Headline: a.Headline, More: []string{a.Meaning, a.Sure, a.Caution}}
}
