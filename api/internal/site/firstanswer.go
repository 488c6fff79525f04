package site

import (
	"bytes"
	"net/http"
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

var answerEnds = []byte("</section>\n") // of the first section of both pages of answers

// answerFirst moves the style sheets of a page behind its answer. A browser paints nothing before the style sheets of
// the head have come, but what stands before those of the body at once (HTML Standard, "body-ok"): over a poor line
// the answer is read a journey earlier, in plain type. A browser that has the style sheets would show plain type for a
// moment without need.
func answerFirst(page []byte) []byte {
	var links bytes.Buffer
	for _, link := range styleSheet.FindAll(page, -1) {
		links.Write(append(link, '\n'))
	}
	bare := styleSheet.ReplaceAll(page, nil)
	return bytes.Replace(bare, answerEnds, append(bytes.Clone(answerEnds), links.Bytes()...), 1)
}
