package reply

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net"
	"net/http"
	"regexp"
	"strconv"
)

// Listener makes problem documents of the few refusals that Go's server writes by itself, before a handler sees the
// request: of what is not HTTP, of headers that are too large, of plain HTTP where HTTPS is spoken.
func Listener(l net.Listener) net.Listener { return problemListener{l} }

type problemListener struct{ net.Listener }

// Accept implements net.Listener.
func (l problemListener) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return problemConn{conn}, nil
}

type problemConn struct{ net.Conn }

// Write implements net.Conn.
func (c problemConn) Write(b []byte) (int, error) {
	if document, is := refusedByGo(b); is {
		if _, err := c.Conn.Write(document); err != nil {
			return 0, err
		}
		return len(b), nil
	}
	return c.Conn.Write(b)
}

// CloseWrite ends what is sent, so that the other side gets to read it before the connection is closed.
func (c problemConn) CloseWrite() error {
	if half, ok := c.Conn.(interface{ CloseWrite() error }); ok {
		return half.CloseWrite()
	}
	return nil
}

// goRefusal is what Go's server writes in one piece (net/http, conn.serve). Whatever a handler sends has a date.
var goRefusal = regexp.MustCompile(`^HTTP/1\.[01] ([45]\d\d) [^\r\n]*\r\n` +
	`(?:Content-Type: text/plain; charset=utf-8\r\nConnection: close\r\n)?\r\n([^\r\n]*)\n?$`)

// refusedByGo is the problem document in place of a refusal that Go's server has written.
func refusedByGo(b []byte) ([]byte, bool) {
	if len(b) > 512 || !bytes.HasPrefix(b, []byte("HTTP/1.")) {
		return nil, false
	}
	found := goRefusal.FindSubmatch(b)
	if found == nil {
		return nil, false
	}
	status, _ := strconv.Atoi(string(found[1])) // three digits: it is a number
	detail := fmt.Sprintf("this is no request that can be read as HTTP (%s)", found[2])
	if status == http.StatusRequestHeaderFieldsTooLarge {
		detail = "the headers and the address together are too large; they can be up to 64 KiB"
	}
	body, _ := json.Marshal(problem(status, detail)) // plain text and numbers: it cannot fail
	return fmt.Appendf(nil, "HTTP/1.1 %d %s\r\nCache-Control: no-store\r\nConnection: close\r\nContent-Length: %d\r\n"+
		"Content-Type: application/problem+json\r\n\r\n%s", status, http.StatusText(status), len(body), body), true
}
