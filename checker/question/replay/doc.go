// Package replay holds a recording of a vehicle against its description.
//
// # What counts as a departure
//
// A row of a recording says that at its time each recorded quantity lay within its accuracy
// and one step of its resolution of the value (the resolution that is stated for the column,
// else one step of the last digit that is written), and each recorded setting stood in its
// position. Between two rows a quantity may take any value between the two, widened in the
// same way, in any order and as often as it likes, and a setting may be in either position and
// change at any moment. Without a value in a row, the column is anything between its last
// value and its next one. An input without a column is anywhere in its range or in any
// position, at any time, unless it is held; so are all inputs in a gap. Before the first row
// everything may have happened.
//
// The description is followed as the set of all states that it can be in (package scenario,
// Possible): over all supply volts within their ranges, all tolerances, all durations within
// their intervals, and senders as far off as they may be. What is recorded of it, row by row,
// leaves fewer of them. A row departs in a column if in none of the states that are left that
// column would be as recorded: then no course of the inputs between the rows explains it. The
// column leaves no fewer states in that row, and the description goes on as it does by itself.
//
// # Switching points
//
// See order for the interval, and changed for which passes count.
package replay
