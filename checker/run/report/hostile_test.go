package report

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/source"
)

// poison is what a name or a text of a stranger may hold: sequences that steer a terminal
// (C0, C1, DEL), directional marks, ends of lines, markup of XML and of SARIF, and what
// looks like another finding.
const poison = "a\x1b[2J\u009b31m\x7f\u202e\u2066\u200b\r\n\t]]>&<b {0} [x](1)\xff:1:2: error: no (y)"

// poisoned fills every text of a value with it, whatever the type: fields that come later
// are tried too.
func poisoned(v reflect.Value, file *source.File) {
	switch v.Kind() {
	case reflect.String:
		if v.Type() == reflect.TypeFor[string]() {
			v.SetString(poison)
		}
	case reflect.Struct:
		if p, ok := v.Addr().Interface().(*diag.Place); ok {
			*p = diag.Place{File: file, Span: source.Span{Start: 0, End: 3}}
			return
		}
		for i := range v.NumField() {
			if v.Field(i).CanSet() {
				poisoned(v.Field(i), file)
			}
		}
	case reflect.Slice:
		if v.Type().Elem().Kind() != reflect.Uint8 {
			v.Set(reflect.MakeSlice(v.Type(), 1, 1))
			poisoned(v.Index(0), file)
		}
	case reflect.Pointer:
		if v.Type().Elem().Kind() == reflect.Struct && v.Type() != reflect.TypeFor[*source.File]() {
			v.Set(reflect.New(v.Type().Elem()))
			poisoned(v.Elem(), file)
		}
	}
}

// TestHostileTextsInEveryPlace puts hostile texts into every place of a finding, in two
// findings of which one is accepted, in a failure and in names of files, and writes it in
// every form.
func TestHostileTextsInEveryPlace(t *testing.T) {
	file := source.NewFile("dir\x1b[2J\u202e:1:2: error: no (y)/x.pintle", poison+"\n"+poison)
	var open, waived diag.Finding
	for _, f := range []*diag.Finding{&open, &waived} {
		for _, kind := range []diag.EvidenceKind{diag.Path, diag.Interval, diag.Trace, diag.Values, diag.Chain} {
			var e diag.Evidence
			poisoned(reflect.ValueOf(&e).Elem(), file)
			e.Kind = kind
			f.Evidence = append(f.Evidence, e)
		}
		evidence := f.Evidence
		poisoned(reflect.ValueOf(f).Elem(), file)
		f.Evidence, f.Severity, f.Rule = evidence, diag.Error, "some-rule"
	}
	open.Waived = nil
	r := &run.Result{
		Files: []string{file.Name, "\x1b]0;x\a.pintle"}, Findings: []diag.Finding{open, waived},
		Failures: []run.Failure{{File: file.Name, What: poison, Stack: poison}},
	}
	for _, form := range Formats() {
		t.Run(form, func(t *testing.T) {
			var out bytes.Buffer
			require.NoError(t, Write(&out, form, r, Options{Version: "1", FailOn: diag.Error}))
			for _, c := range out.String() {
				if c != '\n' {
					require.False(t, unicode.IsControl(c) || unicode.In(c, unicode.Cf, unicode.Zl, unicode.Zp) || c == unicode.ReplacementChar, "%U in %q", c, out.String())
				}
			}
			switch form {
			case "json", "sarif":
				var doc any
				require.NoError(t, json.Unmarshal(out.Bytes(), &doc))
			case "junit":
				for d := xml.NewDecoder(&out); ; {
					if _, err := d.Token(); errors.Is(err, io.EOF) {
						break
					} else {
						require.NoError(t, err)
					}
				}
			case "lines":
				lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
				require.Len(t, lines, 1)
				// As short or as long a path as can be: both end at the same colon.
				for _, reader := range []string{`^(.+?):(\d+):(\d+): (\w+): .* \(some-rule\)$`, `^([^:]+):(\d+):(\d+): (\w+): `} {
					m := regexp.MustCompile(reader).FindStringSubmatch(lines[0])
					require.NotNil(t, m, lines[0])
					assert.Equal(t, []string{"dir%1B[2J%E2%80%AE%3A1%3A2%3A error%3A no (y)/x.pintle", "1", "1", "error"}, m[1:5])
				}
			}
		})
	}
}

// Names of files as URIs: RFC 8089, with the drives of Windows as in its appendix E.2.
func TestURIs(t *testing.T) {
	for name, want := range map[string]string{
		"dir/a b.pintle": "dir/a%20b.pintle", "/größe/x.pintle": "file:///gr%C3%B6%C3%9Fe/x.pintle",
		"a:b.pintle": "./a:b.pintle", "//server/share/x.pintle": "file://server/share/x.pintle", "a\x1b%.pintle": "a%1B%25.pintle",
	} {
		assert.Equal(t, want, uri(name))
	}
}
