package run_test

import (
	"go/build"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"pintle/checker/checktest/library"
	"pintle/checker/rules"
	"pintle/checker/run"
)

// BenchmarkCheck checks a generated library with all rules, on two processors, and in
// the same run lets gofmt list what differs in as many lines of Go. Beside lines a
// second and the ratio of the two it tells the highest heap that was seen.
func BenchmarkCheck(b *testing.B) {
	for _, size := range []struct {
		name  string
		lines int
	}{{"lines=10k", 10_000}, {"lines=100k", 100_000}, {"lines=1M", 1_000_000}} {
		b.Run(size.name, func(b *testing.B) { benchmarkCheck(b, size.lines) })
	}
}

func benchmarkCheck(b *testing.B, lines int) {
	catalogue, err := rules.All()
	if err != nil {
		b.Fatal(err)
	}
	dir := b.TempDir()
	if err := library.Write(dir, lines); err != nil {
		b.Fatal(err)
	}
	goFiles := goLines(b, lines)
	gofmt, _ := exec.LookPath("gofmt")
	run.Batch()
	const jobs = 2
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(jobs))
	var ours, theirs time.Duration
	heap := watchHeap()
	for b.Loop() {
		began := time.Now()
		r, err := run.Check(b.Context(), run.Request{
			Plan: run.Plan{Catalogue: catalogue}, Paths: []string{dir}, Jobs: jobs,
		})
		ours += time.Since(began)
		if err != nil {
			b.Fatal(err)
		}
		if len(r.Failures) > 0 {
			b.Fatal(r.Failures[0])
		}
		if r.Summary.Errors+r.Summary.Warnings > 0 {
			f := r.Findings[0]
			b.Fatalf("the library is in order, but: %s: %s: %s", f.File.Name, f.Rule, f.Message)
		}
		if gofmt == "" {
			continue
		}
		b.StopTimer()
		began = time.Now()
		cmd := exec.CommandContext(b.Context(), gofmt, append([]string{"-l"}, goFiles...)...)
		cmd.Env = append(os.Environ(), "GOMAXPROCS=2")
		if out, err := cmd.CombinedOutput(); err != nil {
			b.Fatalf("gofmt: %v\n%s", err, out)
		}
		theirs += time.Since(began)
		b.StartTimer()
	}
	peak := heap()
	all := float64(lines) * float64(b.N)
	b.ReportMetric(all/ours.Seconds(), "lines/s")
	b.ReportMetric(float64(peak)/(1<<20), "MiB-heap")
	if theirs > 0 {
		b.ReportMetric(all/theirs.Seconds(), "gofmt-lines/s")
		b.ReportMetric(theirs.Seconds()/ours.Seconds(), "of-gofmt")
	}
}

// watchHeap looks at the heap now and then until the function that it returns is
// called, which tells the most that was seen.
func watchHeap() func() uint64 {
	var peak atomic.Uint64
	stop, stopped := make(chan struct{}), make(chan struct{})
	look := func() {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		peak.Store(max(peak.Load(), m.HeapInuse))
	}
	go func() {
		defer close(stopped)
		for {
			select {
			case <-stop:
				return
			case <-time.After(20 * time.Millisecond):
				look()
			}
		}
	}()
	return func() uint64 {
		close(stop)
		<-stopped
		look()
		return peak.Load()
	}
}

// goLines finds Go files of the standard library with about so many lines.
func goLines(b *testing.B, lines int) []string {
	b.Helper()
	var out []string
	root := filepath.Join(build.Default.GOROOT, "src")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && d.Name() == "testdata" {
			return filepath.SkipDir
		}
		if lines <= 0 {
			return filepath.SkipAll
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") {
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return nil
		}
		lines -= strings.Count(string(text), "\n")
		out = append(out, path)
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	return out
}
