package server_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pintle/checker/checktest/library"
	"pintle/checker/checktest/outside"
	"pintle/lsp/fake"
)

// BenchmarkBeside makes the same edits in as many lines of Go with gopls, and of Pintle
// with this server, both processes of their own with the same client, one edit of one
// after one of the other, so that what else the machine does burdens both alike.
func BenchmarkBeside(b *testing.B) {
	gopls := outside.Program(b, "gopls", `gopls v0`, "version")
	const lines = 5000
	theirs := besideGo(b, gopls, lines)
	ours := besidePintle(b, build(b), lines)
	var slow, first []time.Duration
	for b.Loop() {
		for i := range edits {
			slow = append(slow, theirs.toggle(b, i))
			first = append(first, ours.toggle(b, i))
		}
	}
	b.StopTimer()
	quantiles(b, "gopls", slow)
	quantiles(b, "first", first)
	b.ReportMetric(float64(resident(theirs.c.PID()))/(1<<20), "MiB-gopls")
	b.ReportMetric(float64(resident(ours.c.PID()))/(1<<20), "MiB-resident")
}

// toggled is a document in which a character here or there makes an error and unmakes
// it.
type toggled struct {
	c       *fake.Client
	uri     string
	version int
	places  []fake.Position
	wrong   string
	right   string
	clean   int
}

func (d *toggled) toggle(b *testing.B, i int) time.Duration {
	b.Helper()
	at := d.places[i/2*7%len(d.places)]
	change := fake.Change{Range: &fake.Range{Start: at, End: fake.Position{Line: at.Line, Character: at.Character + 1}}, Text: d.wrong}
	want := func(n int) bool { return n > d.clean }
	if i%2 == 1 {
		change.Text = d.right
		want = func(n int) bool { return n == d.clean }
	}
	d.version++
	began := time.Now()
	d.c.Edit(d.uri, d.version, change)
	d.wait(b, want)
	return time.Since(began)
}

// wait waits until diagnostics of the present version are there, as many as wanted.
func (d *toggled) wait(b *testing.B, want func(n int) bool) {
	b.Helper()
	err := d.c.Until(b.Context(), func() bool {
		p, _ := d.c.Published(d.uri)
		return p.Version != nil && int(*p.Version) == d.version && want(len(p.Diagnostics))
	})
	if err != nil {
		b.Fatal(err)
	}
	p, _ := d.c.Published(d.uri)
	d.clean = min(d.clean, len(p.Diagnostics))
}

func besidePintle(b *testing.B, binary string, lines int) *toggled {
	text := library.Parts(lines)
	// Both texts are clean: nothing is said of parts that nobody uses.
	dir := b.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "pintle.toml"), []byte("[rules]\nunused = \"off\"\n"), 0o644); err != nil {
		b.Fatal(err)
	}
	d := &toggled{
		c:   fake.Start(b, fake.Options{Command: []string{binary, "serve"}, Folders: []string{dir}, Capabilities: pushes, Trust: true}),
		uri: fake.URI(filepath.Join(dir, "big.pintle")), version: 1, wrong: "1", right: "2", clean: 1 << 30,
	}
	for i, line := range strings.Split(text, "\n") {
		if at := strings.Index(line, ": 0 to 2"); at >= 0 && strings.Contains(line, "band slow") {
			d.places = append(d.places, fake.Position{Line: uint32(i), Character: uint32(at + len(": 0 to "))})
		}
	}
	d.c.Open(d.uri, text)
	d.wait(b, func(int) bool { return true })
	pull(d.c, d.uri, "") // the full verdict is there: the number is that of the whole
	p, _ := d.c.Published(d.uri)
	d.clean = len(p.Diagnostics)
	return d
}

func besideGo(b *testing.B, gopls string, lines int) *toggled {
	dir := b.TempDir()
	var text strings.Builder
	text.WriteString("package big\n")
	for i := 0; strings.Count(text.String(), "\n") < lines; i++ {
		fmt.Fprintf(&text, "\n// F%[1]d adds up.\nfunc F%[1]d(n int) int {\n\tsum := 0\n\tfor i := range n {\n\t\tif i%%2 == 0 {\n\t\t\tsum += i\n\t\t}\n\t}\n\tlast := %[1]d\n\treturn sum + last\n}\n", i)
	}
	for name, body := range map[string]string{"go.mod": "module big\n\ngo 1.26\n", "big.go": text.String()} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(body), 0o644); err != nil {
			b.Fatal(err)
		}
	}
	d := &toggled{
		c:   fake.Start(b, fake.Options{Command: []string{gopls}, Folders: []string{dir}, Capabilities: pushes, Trust: true}),
		uri: fake.URI(filepath.Join(dir, "big.go")), version: 1, wrong: "x", right: "s", clean: 1 << 30,
	}
	for i, line := range strings.Split(text.String(), "\n") {
		if at := strings.Index(line, "return sum"); at >= 0 {
			d.places = append(d.places, fake.Position{Line: uint32(i), Character: uint32(at + len("return "))})
		}
	}
	d.c.Notify("textDocument/didOpen", map[string]any{"textDocument": map[string]any{
		"uri": d.uri, "languageId": "go", "version": 1, "text": text.String(),
	}})
	d.wait(b, func(n int) bool { return n == 0 })
	return d
}
