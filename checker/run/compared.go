package run

import (
	"context"
	"errors"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"pintle/checker/question/compare"
	"pintle/checker/rule"
	"pintle/checker/run/files"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// CompareRequest asks to compare designs. What it opens is the new one: a file, or a
// folder, whose files are compared with those of the old one that have the same paths in it.
type CompareRequest struct {
	OpenRequest
	// Old is the old file or folder.
	Old string
	// OldFiles is where that is: another revision, for example. Nil: where the new one is.
	OldFiles files.Files
	// Since is how the old files are told from the new ones that have the same name: a revision.
	Since string
	// Catalogue are the rules by which both are checked; nil: neither is, so that nothing is told of
	// claims and findings.
	Catalogue *rule.Catalogue
	// Step, if set, is told how many of all pairs of files are compared.
	Step func(done, all int)
}

// CompareResult is the outcome of a CompareRequest.
type CompareResult struct {
	Files    []ComparedFile
	Failures []Failure
	Notices  []Failure
}

// ComparedFile is a file before and now.
type ComparedFile struct {
	// Old and New are its names; one is empty where there is only the other.
	Old, New string
	Title    string
	Designs  []ComparedDesign
	// Findings are the rules of which there are more or fewer findings now.
	Findings []FindingChange
}

// ComparedDesign is the comparison for one combination of options.
type ComparedDesign struct {
	Design string // its name; empty where there is one only
	compare.Result
	// Why says that no comparison was possible; empty: it was.
	Why string
	// Claims are those that stand otherwise now.
	Claims []ClaimChange
}

// Same reports whether it is proved that both behave the same, and every unchanged claim
// has the verdict that it had.
func (d *ComparedDesign) Same() bool {
	return d.Why == "" && d.Result.Same() && !slices.ContainsFunc(d.Claims, func(c ClaimChange) bool {
		return c.Old != nil && c.New != nil && !c.Reworded && c.Stands() != StandsAsBefore
	})
}

// Compare compares designs. The errors are those of the context and of the search for the files;
// anything else is a sentence for the person who asks.
func Compare(ctx context.Context, req CompareRequest) (*CompareResult, error) {
	if req.Files == nil {
		req.Files = files.Disk{}
	}
	if req.OldFiles == nil {
		req.OldFiles = req.Files
	}
	out := &CompareResult{}
	if req.Source == nil && (isFolder(ctx, req.Files, req.Path) || isFolder(ctx, req.OldFiles, req.Old)) {
		return out, req.folders(ctx, out)
	}
	f, err := req.file(ctx, out, req.Old, req.OpenRequest)
	if err != nil {
		return nil, err
	}
	out.Files = append(out.Files, *f)
	return out, nil
}

func isFolder(ctx context.Context, in files.Files, name string) bool {
	info, err := in.Stat(ctx, nil, files.Clean(filepath.ToSlash(name)))
	return name != StandardInput && err == nil && info.IsDir()
}

// folders compares the files of two folders.
func (r *CompareRequest) folders(ctx context.Context, out *CompareResult) error {
	before, err := r.below(ctx, out, r.OldFiles, r.Old)
	if err != nil {
		return err
	}
	after, err := r.below(ctx, out, r.Files, r.Path)
	if err != nil {
		return err
	}
	all := maps.Clone(before)
	maps.Copy(all, after)
	for i, at := range slices.Sorted(maps.Keys(all)) {
		if err := r.pair(ctx, out, before[at], after[at]); err != nil {
			return err
		}
		if r.Step != nil {
			r.Step(i+1, len(all))
		}
	}
	return ctx.Err()
}

// pair compares two files of folders; one name may be empty.
func (r *CompareRequest) pair(ctx context.Context, out *CompareResult, old, fresh string) error {
	if old == "" || fresh == "" {
		from, name := r.OldFiles, old
		if old == "" {
			from, name = r.Files, fresh
		}
		o, err := Open(ctx, OpenRequest{Path: name, Rules: r.Rules, Files: from}, nil)
		var none *PartsOnlyError
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.As(err, &none): // what it declares is compared where it is used
		case err != nil:
			out.Failures = append(out.Failures, Failure{File: name, What: err.Error()})
		default:
			out.Files = append(out.Files, ComparedFile{Old: old, New: fresh, Title: o.Designs[0].Title})
		}
		return nil
	}
	open := r.OpenRequest
	open.Path = fresh
	f, err := r.file(ctx, out, old, open)
	var none *PartsOnlyError
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.As(err, &none):
	case err != nil:
		out.Failures = append(out.Failures, Failure{File: fresh, What: err.Error()})
	default:
		out.Files = append(out.Files, *f)
	}
	return nil
}

// below lists the files of designs in a folder by their paths in it; those of a file alone by its
// name.
func (r *CompareRequest) below(ctx context.Context, out *CompareResult, in files.Files, folder string) (map[string]string, error) {
	there, err := Search(ctx, in, r.Rules, files.CheckLimits(), []string{folder}, nil)
	if err != nil {
		return nil, err
	}
	out.Failures = append(out.Failures, there.Failures...)
	out.Notices = append(out.Notices, there.Notices...)
	dir := files.Clean(filepath.ToSlash(folder))
	names := map[string]string{}
	for _, root := range there.Roots {
		names[strings.TrimPrefix(root.Name, dir+"/")] = root.Name
	}
	return names, nil
}

// file compares one file with its older self.
func (r CompareRequest) file(ctx context.Context, out *CompareResult, old string, open OpenRequest) (*ComparedFile, error) {
	before, err := Open(ctx, OpenRequest{Path: old, Options: r.Options, Rules: r.Rules, Files: r.OldFiles}, nil)
	if err != nil {
		return nil, err
	}
	after, err := Open(ctx, open, nil)
	if err != nil {
		return nil, err
	}
	out.take(before)
	out.take(after)
	if len(before.Designs) == len(after.Designs) && compare.Identical(before.Pass(ctx, before.Designs[0]), after.Pass(ctx, after.Designs[0])) {
		r.Catalogue = nil // all claims stand as they stood
	}
	x, err := r.side(ctx, before)
	if err != nil {
		return nil, err
	}
	y, err := r.side(ctx, after)
	if err != nil {
		return nil, err
	}
	f := &ComparedFile{Old: before.File + r.at(), New: after.File, Title: after.Designs[0].Title}
	if r.Catalogue != nil {
		f.Findings = findingChanges(x.checked.Findings, y.checked.Findings)
		out.Failures = append(append(out.Failures, x.checked.Failures...), y.checked.Failures...)
	}
	return f, f.designs(ctx, x, y)
}

// at tells old files from new ones of the same name.
func (r *CompareRequest) at() string {
	if r.Since == "" {
		return ""
	}
	return " at " + r.Since
}

// comparedSide is one of the files with what its check gave.
type comparedSide struct {
	*Opened
	checked *FileResult // nil: it was not checked
	passes  map[*model.Design]*rule.Pass
}

// side checks one of the files, so that it is known how its claims stand.
func (r *CompareRequest) side(ctx context.Context, o *Opened) (*comparedSide, error) {
	s := &comparedSide{Opened: o, passes: map[*model.Design]*rule.Pass{}}
	if r.Catalogue != nil {
		read := *o.Read
		read.Designs = o.Designs
		s.checked = File(ctx, FileRequest{
			Plan: Plan{Catalogue: r.Catalogue, Verdicts: true, Memo: o.memo}, Root: o.Tree, Settings: o.settings, Read: &read,
			Keep: func(p *rule.Pass) { s.passes[p.Design] = p },
		})
	}
	for _, d := range o.Designs {
		if s.passes[d] == nil {
			s.passes[d] = o.Pass(ctx, d)
		}
	}
	return s, ctx.Err()
}

func (r *CompareResult) take(o *Opened) {
	r.Failures = append(r.Failures, o.Failures...)
	for _, n := range o.Notices {
		if !slices.Contains(r.Notices, n) {
			r.Notices = append(r.Notices, n)
		}
	}
}

// designs compares the designs of one file, combination by combination of the options that both
// have.
func (f *ComparedFile) designs(ctx context.Context, old, fresh *comparedSide) error {
	for _, d := range old.Designs {
		for _, e := range fresh.Designs {
			if !together(d, e) {
				continue
			}
			one := ComparedDesign{Design: e.Name}
			if d.Name != e.Name {
				one.Design = d.Name + " before, " + e.Name + " now"
			}
			got, err := compare.Designs(old.passes[d], fresh.passes[e])
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if err != nil {
				one.Why = err.Error()
			} else {
				one.Result = *got
			}
			if err := readable(ctx, old.Opened, d, one.Differences); err != nil {
				return err
			}
			one.Claims = claimChanges(old, fresh, d, e, one.Result.NewName)
			f.Designs = append(f.Designs, one)
		}
	}
	if f.Designs == nil {
		return errors.New("no combination of the options of " + f.Old + " is one of " + f.New)
	}
	return nil
}

// readable takes those drives away that the old file can't hold: they name what a part does not show.
func readable(ctx context.Context, o *Opened, d *model.Design, found []compare.Difference) error {
	var drives strings.Builder
	for i := range found {
		drives.WriteString(found[i].Drive)
	}
	if drives.Len() == 0 {
		return nil
	}
	tree := syntax.Parse(source.NewFile(o.File, o.Tree.Src.Text+"\n"+drives.String()), nil)
	read := elaborate.Elaborate(ctx, tree, o.loader)
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, e := range read.Designs {
		if e.Name != d.Name || e.Bench {
			continue
		}
		for i := range found {
			f := &found[i]
			at := slices.IndexFunc(e.Drives, func(v model.Drive) bool { return f.Drive != "" && strings.HasPrefix(f.Drive, "drive "+v.Path+":") })
			broken := func(s model.Step) bool {
				return s.Broken || slices.ContainsFunc(s.Sees, func(x model.See) bool { return !x.Cond.Known() })
			}
			if f.Drive != "" && (at < 0 || e.Drives[at].Broken || slices.ContainsFunc(e.Drives[at].Steps, broken)) {
				f.Drive, f.DriveAfter, f.Note = "", "", "a drive shows it that would have to name what a part does not show"
			}
		}
	}
	return nil
}

// together reports whether two designs have the same positions of the options that both have.
func together(d, e *model.Design) bool {
	return !slices.ContainsFunc(d.Choices, func(c model.Choice) bool {
		return slices.ContainsFunc(e.Choices, func(x model.Choice) bool {
			return x.Option == c.Option && x.Position != c.Position
		})
	})
}

// Same reports whether it is proved that everything behaves the same.
func (r *CompareResult) Same() bool {
	return !slices.ContainsFunc(r.Files, func(f ComparedFile) bool {
		return f.Old == "" || f.New == "" || slices.ContainsFunc(f.Designs, func(d ComparedDesign) bool { return !d.Same() })
	})
}
