package recording

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func rows(r *Reader) (out [][]string, err error) {
	for {
		fields, err := r.Next()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
		var row []string
		for _, f := range fields {
			row = append(row, string(f))
		}
		out = append(out, row)
	}
}

func any1(field string) int {
	if field == "" {
		return 0
	}
	return 1
}

// What encoding/csv writes (RFC 4180) is read as it was written.
func TestRows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		separator := rapid.SampledFrom([]rune{',', ';', '\t', '|'}).Draw(t, "separator")
		field := rapid.StringMatching(`[ -~äµ]{0,8}`)
		n := rapid.IntRange(2, 5).Draw(t, "columns")
		table := rapid.SliceOfN(rapid.SliceOfN(field, n, n), 0, 20).Draw(t, "table")
		header := make([]string, n)
		for i := range header {
			header[i] = "column" + strconv.Itoa(i)
		}
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		w.Comma, w.UseCRLF = separator, rapid.Bool().Draw(t, "crlf")
		if err := w.WriteAll(append([][]string{header}, table...)); err != nil {
			t.Fatal(err)
		}
		r, err := NewReader(&b, 0, func(f string) int { return b2i(strings.HasPrefix(f, "column")) })
		if err != nil {
			t.Fatal(err)
		}
		got, err := rows(r)
		if err != nil {
			t.Fatal(err)
		}
		var want [][]string
		for _, row := range table {
			if strings.TrimSpace(strings.Join(row, string(separator))) != "" {
				want = append(want, row)
			}
		}
		if !slices.Equal(r.Header, header) || !slices.EqualFunc(got, want, slices.Equal) {
			t.Fatalf("%q is read as %q", want, got)
		}
	})
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// FuzzRows: any bytes are read, or refused with the line.
func FuzzRows(f *testing.F) {
	for _, s := range []string{"a,b\n1,2\n", "a,b\r\n\"1\",\"2\"\"\"\r\n", "\ufeffa,b\n1,2", "a,b\n\n1,\n", "a,b\n\"1", "a,b\n\"1\"2,3\n", "\xff\xfea"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := NewReader(bytes.NewReader(text), 0, any1)
		if err == nil {
			_, err = rows(r)
		}
		if err != nil {
			var at *LineError
			require.ErrorAs(t, err, &at)
			require.Positive(t, at.Line)
		}
	})
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		text  string
		comma bool
		v, u  float64
		ok    bool
	}{
		{"12", false, 12, 1, true}, {" -3.50 ", false, -3.5, 0.01, true}, {"+.5", false, 0.5, 0.1, true}, {"12,5", true, 12.5, 0.1, true},
		{"12,5", false, 0, 0, false}, {"1.234,5", true, 0, 0, false}, {"1e3", false, 1000, 1000, true}, {"1.5E-2", false, 0.015, 0.001, true},
		{"123456789012345678", false, 123456789012345678, 1, true}, {"0x10", false, 0, 0, false}, {"inf", false, 0, 0, false}, {"NaN", false, 0, 0, false},
		{"", false, 0, 0, false}, {"-", false, 0, 0, false}, {"1_000", false, 0, 0, false}, {"7.", false, 7, 1, true},
	} {
		v, u, ok := Number([]byte(c.text), c.comma)
		require.Equal(t, c.ok, ok, c.text)
		if ok {
			assert.InDelta(t, c.v, v, 0, c.text)
			assert.InEpsilon(t, c.u, u, 1e-12, c.text)
		}
	}
}

// FuzzNumber: a number is what strconv makes of it.
func FuzzNumber(f *testing.F) {
	f.Add("12.25")
	f.Add("-0.1")
	f.Fuzz(func(t *testing.T, text string) {
		v, u, ok := Number([]byte(text), false)
		if !ok {
			return
		}
		want, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		require.NoError(t, err)
		require.InDelta(t, want, v, 0)
		require.GreaterOrEqual(t, u, 0.0)
	})
}

func TestClock(t *testing.T) {
	c := Clock{Unit: time.Millisecond}
	for text, want := range map[string]int64{"1500": 1500e6, "0.5": 5e5, "00:00:01.5": 15e8, "1970-01-01T00:00:02Z": 2e9, "1970-01-01 00:00:02.25": 225e7, "01.01.1970 00:00:03": 3e9} {
		at, ok := c.Read([]byte(text))
		assert.True(t, ok, text)
		assert.Equal(t, want, at, text)
	}
	_, ok := c.Read([]byte("noon"))
	assert.False(t, ok)
	// Past midnight the next day begins.
	day := Clock{Unit: time.Second}
	a, _ := day.Read([]byte("23:59:59"))
	b, _ := day.Read([]byte("00:00:01"))
	assert.Equal(t, int64(2e9), b-a)
}

func TestMissing(t *testing.T) {
	for _, s := range []string{"", " ", "-", "--", "NaN", "n/a", "NULL"} {
		assert.True(t, Missing([]byte(s)), s)
	}
	for _, s := range []string{"0", "-1", "off", "nano"} {
		assert.False(t, Missing([]byte(s)), s)
	}
}

// A line may be longer than the buffer, and not longer than the limit.
func TestLongLines(t *testing.T) {
	long := strings.Repeat("x", 1<<19)
	r, err := NewReader(strings.NewReader("a,b\n"+long+",1\n2,3\n"), 0, any1)
	require.NoError(t, err)
	got, err := rows(r)
	require.NoError(t, err)
	require.Len(t, got, 2)
	assert.Equal(t, long, got[0][0])
	_, err = NewReader(strings.NewReader("a,b\n"+strings.Repeat("x", 1<<22)), 0, any1)
	var at *LineError
	require.ErrorAs(t, err, &at)
}
