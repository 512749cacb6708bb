package system

import (
	"pintle/checker/engine/circuit"
	"pintle/checker/engine/logic"
	"pintle/lang/model"
)

// RoleKind says what a variable of the system stands for.
type RoleKind uint8

// The roles and what Index means for each.
const (
	RoleSetting   RoleKind = iota // SettingID; the values are its positions
	RoleQuantity                  // QuantityID; the values are the regions of its Axis
	RoleMemory                    // MemoryID; the values are its states
	RoleMachine                   // MachineID; see System.Mode
	RoleTimer                     // TimerID; the values are model.TimerIdle and so on
	RoleBeat                      // BeatID; 0 is the half that is on while the beat runs
	RoleEdge                      // EdgeID
	RoleFree                      // ElementID of a contact made `sometimes`: 0 broken, 1 made
	RoleTimerHelp                 // TimerID: the clock of one whose phase is a piece of hardware
	RoleBeatHalf                  // BeatID: clock of the half that is on (Half 0) or off (1)
	RoleDisowner                  // MachineID: which copy of the modes counts
	RoleStuck                     // SenderID: the region that a stuck sender tells
	RoleMode                      // MachineID: the mode that one with two copies reads as; for texts only
	RoleOffset                    // SenderID: which of its offsets it has; see Options.Inexact
	RoleShorted                   // ReadingID: what one reads whose wire is shorted; see System.addShorted
	RoleUnknown                   // nothing is known of it; see System.Doubt
)

// Role is what a variable stands for.
type Role struct {
	Kind  RoleKind
	Index int
	Half  int
}

// Doubt says why nothing is known of a variable with RoleUnknown.
type Doubt struct {
	// Reason is a clause for the author of the design; empty where the design could
	// not be read, which has its own finding.
	Reason string
	// Answer is set where one of the circuit's answers is meant, that to Question.
	Answer   bool
	Question circuit.QuestionID
}

// Doubt tells why nothing is known of a variable; false where it is an ordinary one.
func (s *System) Doubt(v logic.Var) (Doubt, bool) {
	d, ok := s.doubts[v]
	return d, ok
}

// role of the variable v.
func (s *System) role(v logic.Var) Role { return s.roles[v] }

// Role reports what a variable stands for.
func (s *System) Role(v logic.Var) Role {
	if v < 0 || int(v) >= len(s.roles) {
		return Role{Kind: RoleUnknown, Index: model.None}
	}
	return s.roles[v]
}

// Var finds the variable that plays a role; false if none does.
func (s *System) Var(r Role) (logic.Var, bool) {
	v, ok := s.byRole[r]
	return v, ok
}

// SettingVar is the variable of a setting.
func (s *System) SettingVar(id model.SettingID) logic.Var {
	return s.must(Role{Kind: RoleSetting, Index: int(id)})
}

// QuantityVar is the variable of a quantity.
func (s *System) QuantityVar(id model.QuantityID) logic.Var {
	return s.must(Role{Kind: RoleQuantity, Index: int(id)})
}

// MemoryVar is the variable of a memory.
func (s *System) MemoryVar(id model.MemoryID) logic.Var {
	return s.must(Role{Kind: RoleMemory, Index: int(id)})
}

// must is the variable that plays a role that every design's thing has; -1 if the index
// is not one of the design's.
func (s *System) must(r Role) logic.Var {
	if v, ok := s.byRole[r]; ok {
		return v
	}
	return -1
}
