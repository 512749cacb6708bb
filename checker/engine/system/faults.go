package system

import (
	"pintle/lang/model"
)

// senderFault is the standing fault of a sender, "" if there is none.
func (s *System) senderFault(sender int) model.FaultMode {
	var mode model.FaultMode
	for _, a := range s.opts.Faults.Standing() {
		if a.Thing.Kind == model.ThingSender && a.Thing.Index == sender {
			mode = a.Mode
		}
	}
	return mode
}

// silent reports whether a sender tells nothing any more. What reads it then counts as
// disconnected.
func (s *System) silent(sender int) bool { return s.senderFault(sender) == model.FaultSilent }

// stuckSenders lists the senders that tell one value whatever the quantity is.
func (s *System) stuckSenders() []int {
	var out []int
	for i := range s.d.Senders {
		if s.senderFault(i) == model.FaultStuck {
			out = append(out, i)
		}
	}
	return out
}

// blown reports whether a fuse is blown by one of the standing faults.
func (s *System) blown(f *model.Fuse) bool {
	for _, a := range s.opts.Faults.Standing() {
		if a.Thing.Kind == model.ThingElement && a.Thing.Index == int(f.Element) && a.Mode == model.FaultBlown {
			return true
		}
	}
	return false
}
