// Package ask is the vocabulary of questions about a design: what rules, hovers, hints and
// the verb `pintle ask` put to the engines, each question in one place.
//
//   - what can be said of a state: [Live], [Joined], [AtLeast], [Sound] … (state.go, sound.go);
//   - whether a state can be reached, and by which moves: [Can], [Never] (reach.go);
//   - the condition under which something is so: [Simplify] (when.go);
//   - the highest and lowest of a measure over reachable states: [Climb], [Over]
//     (extreme.go);
//   - the range of a measure, proved, at nominal values and within tolerances: [Range]
//     (range.go);
//   - the corners in which supplies stand at the ends of their ranges (corner.go), and what a
//     wire may carry (wire.go).
//
// [Read] reads a question that a person writes, and [Asking.Reply] answers it (question.go,
// reply.go).
//
// All of it runs inside a question to a [rule.Pass]: an engine that can't answer ends the rule
// or the question that runs, see [rule.Pass.StopOn].
package ask
