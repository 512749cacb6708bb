package scenario

import (
	"slices"

	"pintle/lang/model"
)

// follow makes the first excited memory, reset, timer or beat change, and reports what it
// did; an event without a text is one that nobody can tell.
func (m *moment) follow() (Event, bool) {
	for k := range m.s.parts() {
		if e, ok := m.turn(k); ok {
			return e, true
		}
	}
	return Event{}, false
}

// parts counts what may change while hardware settles: memories, machines, timers, beats.
func (s *State) parts() int {
	return len(s.Memories) + len(s.Machines) + len(s.Clocks) + len(s.Rhythms)
}

// turn lets one of the parts change if it is excited.
func (m *moment) turn(k int) (Event, bool) {
	if k < len(m.s.Memories) {
		return m.followMemory(k)
	}
	k -= len(m.s.Memories)
	if k < len(m.s.Machines) {
		mc := &m.design.Machines[k]
		if !mc.Broken && mc.Reset != nil && m.s.Machines[k] != mc.Start && m.eval(mc.Reset) == True {
			return m.enter(k, mc.Start), true
		}
		return Event{}, false
	}
	k -= len(m.s.Machines)
	if k < len(m.s.Clocks) {
		return m.followTimer(k)
	}
	return m.followBeat(k - len(m.s.Clocks))
}

func (m *moment) followMemory(i int) (Event, bool) {
	mem, from := &m.design.Memories[i], m.s.Memories[i]
	to := m.next(mem, from)
	if to == from {
		return Event{}, false
	}
	e := Event{At: m.s.At, Kind: EventMemory, Index: i, From: from, To: to}
	if from != UnknownState && to != UnknownState {
		e.Text = memoryText(mem, to)
	}
	m.s.Memories[i] = to
	return e, true
}

// next is the state that a memory goes to. One that is unknown is known again where it
// would come to the same from all states.
func (m *moment) next(mem *model.Memory, state int) int {
	switch {
	case mem.Broken:
		return UnknownState
	case state != UnknownState:
		return m.ruled(mem, state)
	}
	out := m.ruled(mem, 0)
	for from := 1; from < len(mem.States) && out != UnknownState; from++ {
		if m.ruled(mem, from) != out {
			return UnknownState
		}
	}
	return out
}

// ruled is where the first rule that applies takes a memory; nobody knows, where it is not
// known whether it applies.
func (m *moment) ruled(mem *model.Memory, state int) int {
	for _, r := range mem.Rules {
		if r.From != nil && !slices.Contains(r.From, state) || r.To == state {
			continue
		}
		switch m.eval(r.When) {
		case True:
			return r.To
		case Unknown:
			return UnknownState
		}
	}
	return state
}

func (m *moment) followBeat(i int) (Event, bool) {
	b, r := &m.design.Beats[i], &m.s.Rhythms[i]
	on := m.eval(b.While)
	if b.Broken {
		on = Unknown
	}
	was := *r
	switch {
	case on == Unknown:
		*r = Rhythm{Unknown: true}
	case on == False && (r.Running || r.Unknown):
		*r = Rhythm{Until: m.s.At + ns(b.On)}
	case on == True && !r.Running && !r.Unknown:
		*r = Rhythm{Running: true, Until: m.s.At + ns(b.On)}
	default:
		return Event{}, false
	}
	if r.Unknown && was.Unknown {
		return Event{}, false
	}
	e := Event{At: m.s.At, Kind: EventBeat, Index: i, To: b2i(on == True)}
	if !r.Unknown && !was.Unknown {
		e.Text = b.Path + " is " + onOff(on == True)
	}
	return e, true
}

// phase is what a timer goes to that stands in a phase.
func phase(t *model.Timer, at int, run, stop bool) int {
	switch {
	case stop:
		return model.TimerIdle
	case t.InLast && run:
		return model.TimerDone
	case t.InLast && at == model.TimerDone:
		return model.TimerRunning
	case t.InLast:
		return at
	case at == model.TimerIdle && run:
		return model.TimerRunning
	case at == model.TimerRunning && !run && !t.Starts, at == model.TimerDone && !run:
		return model.TimerIdle
	}
	return at
}

// phases is phase where not all is known: what it comes to in all cases, or unknown.
func phases(t *model.Timer, at int, run, stop Truth) int {
	from := []int{at}
	if at == UnknownState {
		from = []int{model.TimerIdle, model.TimerRunning, model.TimerDone}
	}
	out, first := UnknownState, true
	for _, at := range from {
		for _, r := range [...]bool{false, true} {
			for _, s := range [...]bool{false, true} {
				if run != Unknown && truth(r) != run || stop != Unknown && truth(s) != stop {
					continue
				}
				to := phase(t, at, r, s)
				if !first && to != out {
					return UnknownState
				}
				out, first = to, false
			}
		}
	}
	return out
}

func (m *moment) followTimer(i int) (Event, bool) {
	t, c := &m.design.Timers[i], &m.s.Clocks[i]
	if t.Broken {
		return Event{}, false // it is unknown from the beginning
	}
	stop := False
	if t.Stop != nil {
		stop = m.eval(t.Stop)
	}
	to := phases(t, c.Phase, m.eval(t.Run), stop)
	if to == c.Phase {
		return Event{}, false
	}
	return m.setTimer(i, to), true
}

// setTimer puts a timer in a phase; when it begins to run its duration is fixed.
func (m *moment) setTimer(i, phase int) Event {
	t, c := &m.design.Timers[i], &m.s.Clocks[i]
	e := Event{At: m.s.At, Kind: EventTimer, Index: i, From: c.Phase, To: phase}
	if c.Phase != UnknownState && phase != UnknownState {
		e.Text = timerText(m.design, t, phase)
	}
	c.Phase = phase
	if phase == model.TimerRunning {
		c.Ran, c.Began = true, m.s.At
		c.Case = len(t.Cases) - 1
		for k := range t.Cases {
			when := m.eval(t.Cases[k].When)
			if when == Unknown { // when it will be done nobody knows
				c.Phase, e.Text = UnknownState, ""
				return e
			}
			if when == True {
				c.Case = k
				break
			}
		}
		if c.Case >= 0 {
			c.Until = m.s.At + ns(m.pace.of(t.Cases[c.Case].Min, t.Cases[c.Case].Max))
		}
	}
	return e
}
