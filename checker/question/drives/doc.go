// Package drives reports the outcome of the drives of a design: which expectations are met, missed
// or undecided and why, at which paces it makes a difference, and what happens when. Findings,
// the summary, the command line and the editor all ask here.
//
// A drive is run as a check runs it: against a simulated clock (package scenario), at nominal
// values, in each design that it is meant for and at each pace of rule.Paces. Runs of one
// drive that are alike are reported once.
package drives
