package run

import (
	"context"
	"errors"
	"slices"

	"pintle/checker/question/compare"
	"pintle/checker/run/files"
	"pintle/lang/model"
)

// CompareRequest is the wish to have two designs compared.
type CompareRequest struct {
	// Old and New are files or folders. The files of two folders are compared by their paths
	// below these.
	Old, New string
	// OldFiles is where the old ones are: another revision, for example. Nil: where the new ones are.
	OldFiles files.Files
	Files    files.Files // nil: the disk
	// Options choose positions of options: only designs with these are compared.
	Options map[string]string
	// Rules are the names that settings may speak of.
	Rules []string
	// Step, if set, is told how many of all pairs of files are compared.
	Step func(done, all int)
}

// CompareResult is what came of it.
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
}

// ComparedDesign is what came of one combination of options.
type ComparedDesign struct {
	Design string // its name; empty where there is one only
	compare.Result
	// Why says that no comparison was possible; empty: it was.
	Why string
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
	old, err := req.open(ctx, req.OldFiles, req.Old)
	if err != nil {
		return nil, err
	}
	fresh, err := req.open(ctx, req.Files, req.New)
	if err != nil {
		return nil, err
	}
	out := &CompareResult{}
	out.take(old)
	out.take(fresh)
	f := ComparedFile{Old: old.File, New: fresh.File, Title: fresh.Designs[0].Title}
	err = f.designs(ctx, old, fresh)
	out.Files = append(out.Files, f)
	return out, err
}

func (r *CompareRequest) open(ctx context.Context, from files.Files, path string) (*Opened, error) {
	return Open(ctx, OpenRequest{Path: path, Options: r.Options, Rules: r.Rules, Files: from}, nil)
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
func (f *ComparedFile) designs(ctx context.Context, old, fresh *Opened) error {
	for _, d := range old.Designs {
		for _, e := range fresh.Designs {
			if !together(d, e) {
				continue
			}
			one := ComparedDesign{Design: e.Name}
			if d.Name != e.Name {
				one.Design = d.Name + " before, " + e.Name + " now"
			}
			got, err := compare.Designs(old.Pass(ctx, d), fresh.Pass(ctx, e))
			if ctx.Err() != nil {
				return ctx.Err()
			}
			if err != nil {
				one.Why = err.Error()
			} else {
				one.Result = *got
			}
			f.Designs = append(f.Designs, one)
		}
	}
	if f.Designs == nil {
		return errors.New("no combination of the options of " + f.Old + " is one of " + f.New)
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
		return f.Old == "" || f.New == "" || slices.ContainsFunc(f.Designs, func(d ComparedDesign) bool { return d.Why != "" || !d.Result.Same() })
	})
}
