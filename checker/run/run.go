// Package run is the one entry of the checker: files, settings and a context go in,
// findings, failures and a summary come out. Findings are plain data; neither trees
// nor designs outlive the file that they belong to, so that the memory needed grows
// with the number of files looked at at once, not with the number of files.
package run

import (
	"cmp"
	"context"
	"errors"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"pintle/checker/engine/circuit"
	"pintle/checker/run/files"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/syntax"
)

// Request is the wish to have files checked.
type Request struct {
	Plan
	// Paths are files, folders and StandardInput.
	Paths []string
	// Files is where they are; nil: the disk.
	Files files.Files
	// Limits bound what is taken in; zero: those of the command line.
	Limits files.Limits
	// Allow are folders that files may be used from beside the workspace, as the user says.
	Allow []string
	// Input is the text of StandardInput.
	Input []byte
	// Jobs is the most files that are looked at at once; 0: one for each processor.
	Jobs int
	// Progress, if set, is told how many of all files are done. It is called by one
	// goroutine at a time.
	Progress func(done, all int)
	// Doing, if set, is told what is looked for next, and in how many files. Files that are
	// checked at once call it at once.
	Doing func(what string, all int)
}

// Check checks files. Each of them is a root of its own, whether or not others use it.
// The result does not depend on the number of jobs. An error means that there is no
// result: the context ended, the settings can't be used, or no path was given.
func Check(ctx context.Context, req Request) (*Result, error) {
	if req.Catalogue == nil {
		return nil, errors.New("there is no catalogue of rules")
	}
	if req.Files == nil {
		req.Files = files.Disk{}
	}
	if req.Limits == (files.Limits{}) {
		req.Limits = files.CheckLimits()
	}
	if req.Memo == nil {
		req.Memo = circuit.NewMemo()
	}
	if slices.Contains(req.Paths, StandardInput) {
		req.Files = withText{req.Files, StandardInput, req.Input}
	}
	there, err := Search(ctx, req.Files, req.Catalogue.Names(), req.Limits, req.Paths, req.Allow)
	if err != nil {
		return nil, err
	}
	roots, failures := there.Roots, there.Failures
	results, err := checkAll(ctx, req, roots)
	if err != nil {
		return nil, err
	}
	out := &Result{Failures: failures, Notices: there.Notices}
	var found []diag.Finding
	for i, r := range results {
		if r.Summary.Files > 0 {
			out.Files = append(out.Files, roots[i].Name)
		}
		found = append(found, r.Findings...)
		out.Failures = append(out.Failures, r.Failures...)
		out.Summary.add(&r.Summary)
		out.Verdicts = append(out.Verdicts, r.Verdicts...)
		out.Accepted = append(out.Accepted, r.Accepted...)
		out.Costs = append(out.Costs, r.Costs...)
	}
	slices.SortStableFunc(out.Failures, func(a, b Failure) int { return strings.Compare(a.File, b.File) })
	out.Findings = mergeRoots(found)
	out.Summary.count(out.Findings)
	return out, nil
}

// Search finds the files that paths stand for ([Discover]) and what holds for them.
func Search(ctx context.Context, disk files.Files, rules []string, limits files.Limits, paths, allow []string) (*Discovery, error) {
	search := settings.Search{Files: disk, Rules: rules, Most: limits.Settings}
	for _, p := range paths {
		if p == "" {
			continue // told by Discover
		}
		if info, err := disk.Stat(ctx, nil, filepath.ToSlash(p)); err != nil || !info.IsDir() {
			continue
		}
		dir, err := disk.Abs(filepath.ToSlash(p))
		if err != nil {
			return nil, err
		}
		search.Folders = append(search.Folders, dir)
	}
	for _, p := range allow {
		if p == "" {
			return nil, errors.New("an empty name is that of no folder to allow")
		}
		dir, err := disk.Abs(filepath.ToSlash(p))
		if err != nil {
			return nil, err
		}
		search.Allow = append(search.Allow, dir)
	}
	return Discover(ctx, disk, settings.NewFinder(search), limits, paths)
}

// checkAll checks the roots, some at once; results are in the order of roots.
func checkAll(ctx context.Context, req Request, roots []Root) ([]FileResult, error) {
	jobs := req.Jobs
	if jobs <= 0 {
		jobs = runtime.GOMAXPROCS(0)
	}
	trees := newParsed(req.Files, req.Limits)
	results := make([]FileResult, len(roots))
	var mu sync.Mutex
	cut := newCut(len(roots), req.Limits.AllFindings)
	done := 0
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(jobs)
	for i, root := range roots {
		if inner.Err() != nil {
			break
		}
		g.Go(func() error {
			if !cut.reached(i) {
				plan := req.Plan
				if req.Doing != nil {
					plan.Doing = func(what string) { req.Doing(root.Name+": "+what, len(roots)) }
				}
				results[i] = *checkRoot(inner, plan, trees, root)
			}
			cut.done(i, len(results[i].Findings))
			if req.Progress != nil {
				mu.Lock()
				defer mu.Unlock()
				done++
				req.Progress(done, len(roots))
			}
			return inner.Err()
		})
	}
	if err := cmp.Or(g.Wait(), ctx.Err()); err != nil {
		return nil, err
	}
	cut.apply(roots, results)
	return results, nil
}

// checkRoot reads and checks one file.
func checkRoot(ctx context.Context, plan Plan, trees *parsed, root Root) *FileResult {
	c := &fileCheck{name: root.Name}
	var file *syntax.File
	var err error
	c.try("reading", func() { file, err = trees.root(ctx, root) })
	if err != nil {
		return &FileResult{Failures: []Failure{{File: root.Name, What: files.Why(err)}}}
	}
	if file == nil {
		return &FileResult{Failures: c.out.Failures}
	}
	return File(ctx, FileRequest{
		Plan: plan, Root: file, Settings: root.Settings, Loader: newLoader(trees, file, root), Most: trees.limits.Findings,
	})
}
