package run

import (
	"math/big"

	"pintle/lang/diag"
)

// Result is what came of checking files. It is the same from run to run.
type Result struct {
	// Files are the names of those that were checked, in order.
	Files []string
	// Findings in their order, accepted ones included.
	Findings []diag.Finding
	// Failures are what could not be looked at, in order of file.
	Failures []Failure
	// Notices are worth saying and kept nothing from being done.
	Notices []Failure
	Summary Summary
	// Verdicts and Accepted are listed if the plan asked for it, in order of file.
	Verdicts []Verdict
	Accepted []Accepted
	// Costs are what the work on each design took, in order of file.
	Costs []Cost
}

// Failure tells of work that could not be done: a file that can't be read, or a
// fault of Pintle itself while it was looking at one. The rest is checked all the
// same.
type Failure struct {
	File string
	What string
	// Stack is set for a fault of Pintle itself.
	Stack string
}

func (f Failure) String() string { return f.File + ": " + f.What }

// Summary counts what was done.
type Summary struct {
	Files   int // checked
	Designs int // elaborated: combinations of options, and benches
	Benches int // of the designs
	// States that were reached, over all designs whose states were searched.
	States *big.Int
	Claims Claims
	// Drives that were run, and those of them that failed; and of the others those that
	// are undecided, for what could not be read or judged.
	Drives, DrivesFailed, DrivesUndecided int
	// Undecided tells of these which they are, and why: "warm_up: step 2 could not be read
	// in full".
	Undecided []string
	// Assumed counts the defaults that were taken where the designs say nothing.
	Assumed int
	// Findings by severity, without the accepted ones.
	Errors, Warnings, Notes int
	Accepted                int
}

// Claims counts verdicts on requirements.
type Claims struct {
	Proved    int // hold in every reachable state
	Vacuous   int // hold, as what they speak of never occurs
	Nominal   int // hold for nominal values, not over all tolerances
	Failed    int
	Undecided int
	// Excepting: of the proved ones, those that leave out faults that they name.
	Excepting int
	// Unprotected: of the proved ones, those that hold with shorts that no fuse opens, as long as
	// nothing burns, or only up to such a short.
	Unprotected int
}

// Worst returns the highest severity of a finding that is not accepted; diag.Off
// if there is none.
func (r *Result) Worst() diag.Severity {
	worst := diag.Off
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Waived == nil {
			worst = max(worst, f.Severity)
		}
	}
	return worst
}

func (s *Summary) add(t *Summary) {
	s.Files += t.Files
	s.Designs += t.Designs
	s.Benches += t.Benches
	if t.States != nil {
		if s.States == nil {
			s.States = new(big.Int)
		}
		s.States.Add(s.States, t.States)
	}
	s.Claims.Proved += t.Claims.Proved
	s.Claims.Vacuous += t.Claims.Vacuous
	s.Claims.Nominal += t.Claims.Nominal
	s.Claims.Failed += t.Claims.Failed
	s.Claims.Undecided += t.Claims.Undecided
	s.Claims.Excepting += t.Claims.Excepting
	s.Claims.Unprotected += t.Claims.Unprotected
	s.Drives += t.Drives
	s.DrivesFailed += t.DrivesFailed
	s.DrivesUndecided += t.DrivesUndecided
	s.Undecided = append(s.Undecided, t.Undecided...)
	s.Assumed += t.Assumed
}

func (s *Summary) count(fs []diag.Finding) {
	for i := range fs {
		switch f := &fs[i]; {
		case f.Waived != nil:
			s.Accepted++
		case f.Severity == diag.Error:
			s.Errors++
		case f.Severity == diag.Warning:
			s.Warnings++
		default:
			s.Notes++
		}
	}
}
