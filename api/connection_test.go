package main

import (
	"bytes"
	"fmt"
	"net"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// connection is one kept-alive connection that asks the same question again and again, with as little as possible of
// a client's own work in the measurement.
type connection struct {
	net.Conn
	request []byte
	buffer  []byte
	status  int
	body    []byte // of the last answer, until the next one
}

// dialled opens a connection to a server at http://host:port. header is lines that each end in CRLF.
func dialled(t testing.TB, address, question, header string) *connection {
	t.Helper()
	host := strings.TrimPrefix(address, "http://")
	conn, err := net.Dial("tcp", host)
	require.NoError(t, err)
	t.Cleanup(func() { conn.Close() })
	return &connection{Conn: conn, buffer: make([]byte, 1<<16),
		request: []byte("GET " + question + " HTTP/1.1\r\nHost: " + host + "\r\n" + header + "\r\n")}
}

var (
	headEnd = []byte("\r\n\r\n")
	length  = []byte("Content-Length: ")
)

// ask sends the question and reads the answer, which must say how long it is.
func (c *connection) ask() error {
	if _, err := c.Write(c.request); err != nil {
		return fmt.Errorf("asking: %w", err)
	}
	n, from, whole := 0, 0, -1
	for whole < 0 || n < whole {
		if n == len(c.buffer) {
			c.buffer = append(c.buffer, make([]byte, n)...)
		}
		read, err := c.Read(c.buffer[n:])
		if err != nil {
			return fmt.Errorf("reading an answer: %w", err)
		}
		n += read
		if whole >= 0 {
			continue
		}
		if end := bytes.Index(c.buffer[:n], headEnd); end >= 0 {
			head := c.buffer[:end]
			c.status, err = strconv.Atoi(string(head[9:12])) // "HTTP/1.1 200 OK"
			if err != nil {
				return fmt.Errorf("reading the status: %w", err)
			}
			whole = end + len(headEnd)
			if at := bytes.Index(head, length); at >= 0 && c.status != 304 {
				text, _, _ := bytes.Cut(head[at+len(length):], []byte("\r\n"))
				body, err := strconv.Atoi(string(text))
				if err != nil {
					return fmt.Errorf("reading the length: %w", err)
				}
				whole += body
			}
			from = end + len(headEnd)
		}
	}
	c.body = c.buffer[from:n]
	return nil
}
