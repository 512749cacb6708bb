// Package recording reads what a data logger wrote: a table of rows with one separator
// (RFC 4180 as far as loggers keep to it), a header, times and values. It reads row by row in
// constant memory, and says of everything that it can't read in which line it stands.
package recording

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// longest is how long a line may be, in bytes, and early in how many lines a header is looked for.
const (
	longest = 1 << 20
	early   = 10
)

// LineError is something in a line that can't be read.
type LineError struct {
	Line int // from 1
	What string
}

func (e *LineError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.What) }

// Reader reads the rows of one recording.
type Reader struct {
	in        *bufio.Reader
	Separator byte
	Header    []string
	Line      int // of the row that was read last, from 1
	Bytes     int64

	ahead  [][]byte // first lines, which have been looked at already
	fields [][]byte
}

// NewReader reads the header: of the first ten lines the one that looks most like it, by how
// many of its fields score. Of equal ones the first is taken; none if no field of any does.
// Separator is 0 if it is not known.
func NewReader(in io.Reader, separator byte, score func(field string) int) (*Reader, error) {
	r := &Reader{in: bufio.NewReaderSize(in, 1<<18)}
	var lines [][]byte
	for len(lines) < early {
		line, err := r.line()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if len(lines) == 0 {
			if bytes.HasPrefix(line, []byte("\xff\xfe")) || bytes.HasPrefix(line, []byte("\xfe\xff")) {
				return nil, &LineError{1, "the file is UTF-16; save it as UTF-8"}
			}
			line = bytes.TrimPrefix(line, []byte("\xef\xbb\xbf"))
		}
		if !utf8.Valid(line) { // a logger's code page: names with umlauts or a degree sign
			line = latin1(line)
		}
		lines = append(lines, bytes.Clone(line))
	}
	if len(lines) == 0 {
		return nil, &LineError{1, "the recording is empty"}
	}
	best, at, with := 0, -1, separator
	for i, line := range lines {
		for _, s := range []byte{',', ';', '\t', '|'} {
			if separator != 0 && s != separator {
				continue
			}
			r.Separator = s
			if err := r.split(line, i+1); err != nil {
				continue
			}
			sum := 0
			for _, f := range r.fields {
				sum += score(strings.TrimSpace(string(f)))
			}
			if sum > best {
				best, at, with = sum, i, s
			}
		}
	}
	if at < 0 {
		return nil, &LineError{1, fmt.Sprintf("no column of the first %d lines is mapped, and none has the name of a thing", len(lines))}
	}
	r.Separator = with
	if err := r.split(lines[at], at+1); err != nil {
		return nil, err
	}
	for _, f := range r.fields {
		r.Header = append(r.Header, strings.TrimSpace(string(f)))
	}
	r.ahead, r.Line = lines[at+1:], at+1
	return r, nil
}

func latin1(line []byte) []byte {
	var out []byte
	for _, b := range line {
		out = utf8.AppendRune(out, rune(b))
	}
	return out
}

// line reads a line without its end; the next call overwrites it.
func (r *Reader) line() ([]byte, error) {
	line, err := r.in.ReadSlice('\n')
	if errors.Is(err, bufio.ErrBufferFull) {
		long := bytes.Clone(line)
		for errors.Is(err, bufio.ErrBufferFull) {
			if len(long) > longest {
				return nil, &LineError{r.Line + 1, fmt.Sprintf("the line is longer than %d bytes", longest)}
			}
			line, err = r.in.ReadSlice('\n')
			long = append(long, line...)
		}
		line = long
	}
	r.Bytes += int64(len(line))
	if err != nil && (!errors.Is(err, io.EOF) || len(line) == 0) {
		return nil, err
	}
	return bytes.TrimRight(line, "\r\n"), nil
}

// Next gives the fields of the next row that is not blank; they hold until the next call. At
// the end it is io.EOF.
func (r *Reader) Next() ([][]byte, error) {
	for {
		var line []byte
		if len(r.ahead) > 0 {
			line, r.ahead = r.ahead[0], r.ahead[1:]
		} else {
			var err error
			if line, err = r.line(); err != nil {
				return nil, err
			}
		}
		r.Line++
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		if err := r.split(line, r.Line); err != nil {
			return nil, err
		}
		return r.fields, nil
	}
}

// split cuts a line into fields.
func (r *Reader) split(line []byte, number int) error {
	r.fields = r.fields[:0]
	if bytes.IndexByte(line, '"') < 0 {
		for {
			i := bytes.IndexByte(line, r.Separator)
			if i < 0 {
				r.fields = append(r.fields, line)
				return nil
			}
			r.fields = append(r.fields, line[:i])
			line = line[i+1:]
		}
	}
	for {
		if len(line) == 0 || line[0] != '"' {
			i := bytes.IndexByte(line, r.Separator)
			if i < 0 {
				r.fields = append(r.fields, line)
				return nil
			}
			r.fields = append(r.fields, line[:i])
			line = line[i+1:]
			continue
		}
		var field []byte
		line = line[1:]
		for {
			i := bytes.IndexByte(line, '"')
			if i < 0 {
				return &LineError{number, "a quotation mark is not closed in its line"}
			}
			field = append(field, line[:i]...)
			if line = line[i+1:]; len(line) == 0 || line[0] != '"' {
				break
			}
			field = append(field, '"')
			line = line[1:]
		}
		r.fields = append(r.fields, field)
		switch {
		case len(line) == 0:
			return nil
		case line[0] != r.Separator:
			return &LineError{number, "something stands between a closing quotation mark and the separator"}
		}
		line = line[1:]
	}
}

// Missing reports whether a field says that there is no value.
func Missing(f []byte) bool {
	f = bytes.TrimSpace(f)
	switch len(f) {
	case 0:
		return true
	case 1, 2, 3, 4:
		switch strings.ToLower(string(f)) {
		case "-", "--", "---", "nan", "na", "n/a", "#n/a", "null", "none", "nil":
			return true
		}
	}
	return false
}

// Number reads a decimal number, with a point, or with a comma where that is not the separator
// of the table; unit is the step of its last digit.
func Number(f []byte, comma bool) (v, unit float64, ok bool) {
	f = bytes.TrimSpace(f)
	negative := false
	b := f
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		negative, b = b[0] == '-', b[1:]
	}
	var n int64
	digits, decimals := 0, -1
	for _, c := range b {
		switch {
		case c >= '0' && c <= '9' && digits < 15:
			n = n*10 + int64(c-'0')
			digits++
			if decimals >= 0 {
				decimals++
			}
		case decimals < 0 && (c == '.' || comma && c == ','):
			decimals = 0
		default:
			return slow(f, comma)
		}
	}
	if digits == 0 {
		return 0, 0, false
	}
	// Up to 15 digits and powers of ten up to 22 are exact, so that the quotient is rounded once.
	v, unit = float64(n), 1
	if decimals > 0 {
		v /= tens[decimals]
		unit = 1 / tens[decimals]
	}
	if negative {
		v = -v
	}
	return v, unit, true
}

var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// slow is Number for whatever is written otherwise.
func slow(f []byte, comma bool) (v, unit float64, ok bool) {
	s := string(f)
	if comma && strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) || strings.ContainsAny(s, "xXpP_") {
		return 0, 0, false
	}
	mantissa, exponent, _ := strings.Cut(strings.ToLower(s), "e")
	unit = 1
	if _, decimals, has := strings.Cut(mantissa, "."); has {
		unit = math.Pow(10, -float64(len(decimals)))
	}
	if e, err := strconv.Atoi(exponent); err == nil {
		unit *= math.Pow(10, float64(e))
	}
	return v, unit, true
}

// Clock reads times of one recording: numbers of a unit, times of day or dates with times.
type Clock struct {
	Unit  time.Duration // of plain numbers
	Comma bool
	day   time.Duration // for times of day that have passed midnight
	last  time.Duration
}

var layouts = [...]string{
	"2006-01-02T15:04:05.999999999Z07:00", "2006-01-02 15:04:05.999999999Z07:00", "2006-01-02T15:04:05.999999999", "2006-01-02 15:04:05.999999999",
	"2006/01/02 15:04:05.999999999", "02.01.2006 15:04:05.999999999",
}

// Read gives a time in ns.
func (c *Clock) Read(f []byte) (at int64, ok bool) {
	if v, _, ok := Number(f, c.Comma); ok {
		ns := v * float64(c.Unit)
		if math.Abs(ns) > 1<<62 {
			return 0, false
		}
		return int64(math.Round(ns)), true
	}
	s := strings.TrimSpace(string(f))
	if c.Comma {
		s = strings.Replace(s, ",", ".", 1)
	}
	if t, err := time.Parse("15:04:05.999999999", s); err == nil {
		d := time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute + time.Duration(t.Second())*time.Second + time.Duration(t.Nanosecond())
		// Past midnight it is the next day; any other step back is one.
		if c.last-d > 23*time.Hour {
			c.day += 24 * time.Hour
		}
		c.last = d
		return int64(c.day + d), true
	}
	for _, l := range layouts {
		if t, err := time.Parse(l, s); err == nil {
			return t.UnixNano(), true
		}
	}
	return 0, false
}
