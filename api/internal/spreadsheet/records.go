package spreadsheet

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/transform"
)

// Encoding is how the bytes of a file stand for letters.
type Encoding string

// The encodings that spreadsheets write.
const (
	UTF8        Encoding = "utf-8"
	UTF16       Encoding = "utf-16"
	Windows1252 Encoding = "windows-1252" // what is not UTF-8 and has no mark of UTF-16
)

// encodingOf looks through a whole file. The error is one of reading.
func encodingOf(r io.Reader) (Encoding, error) {
	in := bufio.NewReader(r)
	begin, _ := in.Peek(2)
	if string(begin) == "\xff\xfe" || string(begin) == "\xfe\xff" {
		return UTF16, nil
	}
	_, err := io.Copy(io.Discard, transform.NewReader(in, encoding.UTF8Validator))
	if errors.Is(err, encoding.ErrInvalidUTF8) {
		return Windows1252, nil
	}
	return UTF8, err
}

// decoded gives the file's text in UTF-8, without the mark at its beginning.
func (e Encoding) decoded(r io.Reader) io.Reader {
	var fallback transform.Transformer = encoding.Nop.NewDecoder()
	if e == Windows1252 {
		fallback = charmap.Windows1252.NewDecoder()
	}
	return transform.NewReader(r, unicode.BOMOverride(fallback))
}

const (
	mostRow  = 1 << 20 // bytes of a row; more of them come of a quote that never ends
	headSize = 1 << 16 // bytes within which the heading ends
)

// errQuotes is what is wrong with a row whose quotes do not match.
var errQuotes = errors.New(`the quotes do not match: a cell with a " in it is written "like ""this"" here"`)

// records reads rows of cells (RFC 4180, with any separator and any line end). A quote inside a cell is itself, as in
// 12' 6"; one at its beginning encloses it. Rows are counted as a spreadsheet shows them: empty lines count, line ends
// in cells do not.
type records struct {
	in        *bufio.Reader
	separator byte
	row       int // the number of the row read last
	text      []byte
	ends      []int    // of the cells in text
	cells     []string // of the row read last
}

// newRecords finds the separator: the candidate that is most often in the first line with anything in it, outside
// quotes.
func newRecords(r io.Reader) *records {
	in := bufio.NewReaderSize(r, headSize)
	head, _ := in.Peek(headSize)
	line, _, _ := bytes.Cut(bytes.ReplaceAll(bytes.TrimLeft(head, "\r\n"), []byte("\r"), []byte("\n")), []byte("\n"))
	counts := map[byte]int{}
	quoted := false
	for _, b := range line {
		if b == '"' {
			quoted = !quoted
		} else if !quoted {
			counts[b]++
		}
	}
	separator := slices.MaxFunc([]byte(";\t,"), func(a, b byte) int { return counts[a] - counts[b] })
	if counts[separator] == 0 {
		separator = ','
	}
	return &records{in: in, separator: separator}
}

// next reads a row, errQuotes where its quotes do not match, and io.EOF after the last. The cells hold until the next
// call.
func (r *records) next() ([]string, error) {
	const (
		begin = iota
		plain
		quoted
		closed
	)
	r.text, r.ends = r.text[:0], r.ends[:0]
	r.row++
	broken := false
	for state := begin; ; {
		b, err := r.in.ReadByte()
		ended := errors.Is(err, io.EOF)
		switch {
		case err != nil && !ended:
			return nil, fmt.Errorf("reading an upload: %w", err)
		case ended && state == begin && len(r.ends) == 0:
			return nil, io.EOF
		case len(r.text) > mostRow:
			r.in.Reset(strings.NewReader(""))
			return nil, errQuotes
		case !ended && state == quoted && b != '"':
			r.text = append(r.text, b)
		case !ended && state == quoted:
			if state = closed; r.comesNext('"') {
				r.text = append(r.text, '"')
				state = quoted
			}
		case !ended && state == begin && b == '"':
			state = quoted
		case !ended && b == r.separator:
			r.ends = append(r.ends, len(r.text))
			state = begin
		case ended || b == '\n' || b == '\r':
			if !ended && b == '\r' {
				r.comesNext('\n')
			}
			r.ends = append(r.ends, len(r.text))
			if broken || state == quoted {
				return nil, errQuotes
			}
			r.cut()
			return r.cells, nil
		case state == closed:
			broken = broken || b != ' '
		default:
			r.text, state = append(r.text, b), plain
		}
	}
}

// comesNext takes a byte that comes next.
func (r *records) comesNext(b byte) bool {
	next, err := r.in.Peek(1)
	if err != nil || next[0] != b {
		return false
	}
	_, err = r.in.Discard(1)
	return err == nil
}

// cut cuts the row read last into its cells, without space around them.
func (r *records) cut() {
	text, from := string(r.text), 0
	r.cells = r.cells[:0]
	for _, end := range r.ends {
		r.cells = append(r.cells, strings.TrimSpace(text[from:end]))
		from = end
	}
}
