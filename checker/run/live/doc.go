// Package live moves a design by hand: one line after the other, each a step of a drive or a
// question about where the design has come to. What was done can be taken back, and written as a
// drive that runs the same when it is checked.
//
// The lines are steps of the language. Each is read behind the text of the design, in one drive
// with all lines before it, by the parser and the elaboration that read any drive. As long as what
// it adds does not change what the design remembers, the engine goes on from where it stands;
// otherwise, as after a question about a duration, all lines are driven anew.
package live
