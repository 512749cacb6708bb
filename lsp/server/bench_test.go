package server_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pintle/checker/checktest/library"
	"pintle/lsp/fake"
)

// edits is how many single-character edits one round of BenchmarkEdit makes.
const edits = 200

// pushes is a client that is pushed to, and may ask for the full verdict.
const pushes = `{"textDocument":{"publishDiagnostics":{"versionSupport":true}}}`

// build builds the command, so that time and memory are those of a process of its own.
func build(b *testing.B) string {
	b.Helper()
	binary := filepath.Join(b.TempDir(), "pintle")
	if out, err := exec.CommandContext(b.Context(), "go", "build", "-o", binary, "pintle/cmd/pintle").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return binary
}

// BenchmarkEdit toggles an error in a large file with single-character edits, and
// measures from each edit to the first diagnostics that show what it did, and to the
// full verdict. The edits go through the file, so that none is a text that was there
// before.
//
// A vehicle is one design, all of whose circuits are connected to one battery; a library is parts
// and bands with a small design.
func BenchmarkEdit(b *testing.B) {
	binary := build(b)
	for _, shape := range []struct {
		name  string
		text  func(int) string
		lines int
		full  bool
	}{
		{"library/lines=5000", library.Parts, 5000, true},
		{"vehicle/lines=500", library.Design, 500, true},
		{"vehicle/lines=5000/first-only", library.Design, 5000, false},
	} {
		b.Run(shape.name, func(b *testing.B) { benchmarkEdit(b, binary, shape.text(shape.lines), shape.full) })
	}
}

func benchmarkEdit(b *testing.B, binary, text string, full bool) {
	uri := fake.URI(filepath.Join(b.TempDir(), "big.pintle"))
	c := fake.Start(b, fake.Options{Command: []string{binary, "serve"}, Capabilities: pushes, Trust: true})
	c.Open(uri, text)
	wait := func(version int) {
		err := c.Until(b.Context(), func() bool {
			p, _ := c.Published(uri)
			return p.Version != nil && int(*p.Version) >= version
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	verdict := func() report { return pull(c, uri, "") }
	wait(1)
	clean := -1
	if full {
		clean = len(verdict().Items)
	} else {
		p, _ := c.Published(uri)
		clean = len(p.Diagnostics)
	}
	// The places: the first digit of the upper end of a band that begins at 0.
	var places []fake.Position
	for i, line := range strings.Split(text, "\n") {
		if at := strings.Index(line, ": 0 to 2"); at >= 0 && strings.Contains(line, "band slow") {
			places = append(places, fake.Position{Line: uint32(i), Character: uint32(at + len(": 0 to "))})
		}
	}
	version := 1
	var first, last []time.Duration
	for b.Loop() {
		for i := range edits {
			at := places[i/2*7%len(places)]
			change := fake.Change{Range: &fake.Range{Start: at, End: fake.Position{Line: at.Line, Character: at.Character + 1}}, Text: "1"}
			want := clean + 1 // 1000 and 2000 leave a gap
			if i%2 == 1 {
				change.Text, want = "2", clean
			}
			version++
			began := time.Now()
			c.Edit(uri, version, change)
			wait(version)
			first = append(first, time.Since(began))
			if p, _ := c.Published(uri); len(p.Diagnostics) != want {
				b.Fatalf("edit %d: %d diagnostics at first, not %d", i, len(p.Diagnostics), want)
			}
			if full {
				if got := verdict(); len(got.Items) != want {
					b.Fatalf("edit %d: %d diagnostics in the end, not %d", i, len(got.Items), want)
				}
				last = append(last, time.Since(began))
			}
		}
	}
	b.StopTimer()
	quantiles(b, "first", first)
	if full {
		quantiles(b, "full", last)
	}
	b.ReportMetric(float64(resident(c.PID()))/(1<<20), "MiB-resident")
}

func quantiles(b *testing.B, name string, ds []time.Duration) {
	slices.Sort(ds)
	ms := func(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
	b.ReportMetric(ms(ds[len(ds)/2]), name+"-p50-ms")
	b.ReportMetric(ms(ds[len(ds)*95/100]), name+"-p95-ms")
	b.ReportMetric(ms(ds[len(ds)-1]), name+"-max-ms")
}

// resident is the resident memory of a process, in bytes; 0 where that can't be told.
func resident(pid int) int64 {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(status)) {
		if rest, ok := strings.CutPrefix(line, "VmRSS:"); ok {
			kb, err := strconv.ParseInt(strings.Fields(rest)[0], 10, 64)
			if err != nil {
				return 0
			}
			return kb << 10
		}
	}
	return 0
}

// BenchmarkOpenWorkspace opens a workspace of 200 files, and a document in it, and
// measures to the complete diagnostics of all of them.
func BenchmarkOpenWorkspace(b *testing.B) {
	binary := build(b)
	dir := b.TempDir()
	files := map[string]string{}
	for name, text := range library.Files(1 << 20) {
		files[name] = text
		if len(files) == 200 {
			break
		}
	}
	var one string
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			b.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			b.Fatal(err)
		}
		if one == "" || name < one {
			one = name
		}
	}
	var memory int64
	for b.Loop() {
		c := fake.Start(b, fake.Options{Command: []string{binary, "serve"}, Folders: []string{dir}, Capabilities: pushes, Trust: true})
		c.Open(fake.URI(filepath.Join(dir, one)), files[one])
		var all struct {
			Items []report `json:"items"`
		}
		c.Request("workspace/diagnostic", map[string]any{"previousResultIds": []any{}}, &all)
		b.StopTimer()
		memory = resident(c.PID())
		c.Shutdown()
		b.StartTimer()
	}
	b.ReportMetric(float64(memory)/(1<<20), "MiB-resident")
}
