package session

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lsp/ide"
)

// earlier is what the last full verdicts said of a file beyond what the cheap rules say,
// moved along with its text.
func (v *Snapshot) earlier(name string) []diag.Finding {
	s := v.session
	s.mu.Lock()
	var fs []diag.Finding
	for root, k := range s.verdicts {
		for _, f := range k.result.Findings {
			if f.File == nil || f.File.Name != name {
				continue
			}
			r, _ := s.catalogue.Lookup(f.Rule)
			// What the file's own root has to say cheaply is being said anew.
			if root != name || !ide.IsQuick(r) || f.Rule == rule.Undecided {
				fs = append(fs, f)
			}
		}
	}
	s.mu.Unlock()
	return move(fs, v.docs[name].Src)
}

func (v *Snapshot) report(name string, fs []diag.Finding) Report {
	r := Report{Snapshot: v, Name: name, Document: v.docs[name], Findings: ide.In(name, fs)}
	if r.Document != nil {
		r.Src = r.Document.Src
	} else if len(r.Findings) > 0 {
		r.Src = r.Findings[0].File
	}
	return r
}

// group sorts the findings of roots by the files that they stand in.
func (v *Snapshot) group(known map[string]*run.FileResult) []Report {
	var lists [][]diag.Finding
	for _, n := range slices.Sorted(maps.Keys(known)) {
		lists = append(lists, known[n].Findings)
	}
	byFile := map[string][]diag.Finding{}
	for _, f := range run.Merge(lists...) {
		if f.File != nil {
			byFile[f.File.Name] = append(byFile[f.File.Name], f)
		}
	}
	for _, f := range v.unfound() {
		if _, ok := byFile[f.File.Name]; !ok {
			byFile[f.File.Name] = []diag.Finding{f}
		}
	}
	for n := range v.docs {
		if _, ok := byFile[n]; !ok {
			byFile[n] = nil
		}
	}
	var reports []Report
	for _, n := range slices.Sorted(maps.Keys(byFile)) {
		if v.scope == OpenDocuments && v.docs[n] == nil {
			continue
		}
		r := v.report(n, byFile[n])
		r.Complete = true
		reports = append(reports, r)
	}
	return reports
}

// Reports returns the full verdict on everything in scope: all files with findings, and
// all that are open.
func (v *Snapshot) Reports(ctx context.Context, progress func(done, all int)) ([]Report, error) {
	urgent, rest, err := v.inScope(ctx)
	if err != nil {
		return nil, err
	}
	known := map[string]*run.FileResult{}
	for i, name := range slices.Concat(urgent, rest) {
		res, err := v.Verdict(ctx, name)
		if err != nil {
			return nil, err
		}
		if res != nil {
			known[name] = res
		}
		progress(i+1, len(urgent)+len(rest))
	}
	return v.group(known), nil
}

// inScope returns the roots to check: those that are open, the one that was changed last
// first, and the others.
func (v *Snapshot) inScope(ctx context.Context) (urgent, rest []string, err error) {
	names, err := v.Names(ctx)
	if err != nil {
		return nil, nil, err
	}
	wanted := map[string]bool{}
	for _, n := range names {
		wanted[n] = v.scope == WholeWorkspace || v.docs[n] != nil
	}
	if v.scope == OpenDocuments {
		for n := range v.docs {
			users, err := v.users(ctx, n)
			if err != nil {
				return nil, nil, err
			}
			for _, u := range users {
				wanted[u] = true
			}
		}
	}
	for _, n := range names {
		switch {
		case n == v.last, !wanted[n]:
		case v.docs[n] != nil:
			urgent = append(urgent, n)
		default:
			rest = append(rest, n)
		}
	}
	if slices.Contains(names, v.last) {
		urgent = slices.Insert(urgent, 0, v.last)
	}
	users, err := v.users(ctx, v.last)
	slices.SortStableFunc(rest, func(a, b string) int {
		return cmp.Compare(rank(users, a), rank(users, b))
	})
	return urgent, rest, err
}

func rank(first []string, name string) int {
	if slices.Contains(first, name) {
		return 0
	}
	return 1
}

// Findings returns the full verdict on a file, through all roots that it is part of,
// sorted; ok is false where there is no such file.
func (v *Snapshot) Findings(ctx context.Context, name string) (fs []diag.Finding, ok bool, err error) {
	users, err := v.users(ctx, name)
	if err != nil {
		return nil, false, err
	}
	var lists [][]diag.Finding
	for _, root := range append([]string{name}, users...) {
		res, err := v.Verdict(ctx, root)
		if err != nil {
			return nil, false, err
		}
		if res != nil {
			lists = append(lists, res.Findings)
			ok = ok || root == name
		}
	}
	return ide.In(name, run.Merge(lists...)), ok, nil
}

// FirstFindings returns what can be said of a document at once: the full verdict if it
// is known, else what the cheap rules find together with what was known before.
func (v *Snapshot) FirstFindings(ctx context.Context, name string) (fs []diag.Finding, complete bool, err error) {
	users, err := v.users(ctx, name)
	if err != nil {
		return nil, false, err
	}
	complete = true
	for _, root := range append([]string{name}, users...) {
		complete = complete && v.verdict(root) != nil
	}
	if complete {
		fs, _, err = v.Findings(ctx, name)
		return fs, true, err
	}
	r, err := v.Root(ctx, name)
	if r == nil || err != nil {
		return nil, false, err
	}
	res, err := r.Quick(ctx)
	if err != nil {
		return nil, false, err
	}
	if v.docs[name] == nil {
		return ide.In(name, res.Findings), false, nil
	}
	return ide.In(name, run.Merge(res.Findings, v.earlier(name))), false, nil
}
