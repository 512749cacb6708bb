// Package metamodel holds messages of a language server against the machine-readable
// model of the protocol, strictly: every property must be known, every required one
// there, every value of its type.
package metamodel

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
)

// Model is the protocol.
type Model struct {
	Requests      []Request      `json:"requests"`
	Notifications []Notification `json:"notifications"`
	Structures    []structure    `json:"structures"`
	Enumerations  []enumeration  `json:"enumerations"`
	Aliases       []alias        `json:"typeAliases"`

	requests      map[string]*Request
	notifications map[string]*Notification
	structures    map[string]*structure
	enumerations  map[string]*enumeration
	aliases       map[string]*alias
}

// Request is a request of the protocol.
type Request struct {
	Method string `json:"method"`
	// ServerCapability is the path of the capability that goes with it; "": none.
	ServerCapability    string `json:"serverCapability"`
	Direction           string `json:"messageDirection"`
	Params              *typ   `json:"params"`
	Result              *typ   `json:"result"`
	RegistrationOptions *typ   `json:"registrationOptions"`
}

// Notification is a notification of the protocol.
type Notification struct {
	Method              string `json:"method"`
	ServerCapability    string `json:"serverCapability"`
	Direction           string `json:"messageDirection"`
	Params              *typ   `json:"params"`
	RegistrationOptions *typ   `json:"registrationOptions"`
}

type structure struct {
	Name       string     `json:"name"`
	Extends    []*typ     `json:"extends"`
	Mixins     []*typ     `json:"mixins"`
	Properties []property `json:"properties"`

	all map[string]property // with those of what it extends
}

type property struct {
	Name     string `json:"name"`
	Type     *typ   `json:"type"`
	Optional bool   `json:"optional"`
}

type enumeration struct {
	Name   string `json:"name"`
	Type   *typ   `json:"type"`
	Custom bool   `json:"supportsCustomValues"`
	Values []struct {
		Value any `json:"value"`
	} `json:"values"`
}

type alias struct {
	Name string `json:"name"`
	Type *typ   `json:"type"`
}

// typ is a type; which fields are set is a matter of Kind.
type typ struct {
	Kind    string          `json:"kind"`
	Name    string          `json:"name"`    // base, reference
	Items   []*typ          `json:"items"`   // or, and, tuple
	Element *typ            `json:"element"` // array
	Key     *typ            `json:"key"`     // map
	Value   json.RawMessage `json:"value"`   // map: a type; stringLiteral: a text; literal: properties

	mapValue *typ
	text     string
	literal  *structure
}

// Load reads the model out of the module that ships it, once.
var Load = sync.OnceValues(func() (*Model, error) {
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "go.lsp.dev/protocol").Output()
	if err != nil {
		return nil, fmt.Errorf("the module with the model can't be found: %w", err)
	}
	raw, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), "internal", "genlsp", "testdata", "metaModel.json"))
	if err != nil {
		return nil, err
	}
	return Parse(raw)
})

// Parse reads a model.
func Parse(raw []byte) (*Model, error) {
	m := &Model{
		requests: map[string]*Request{}, notifications: map[string]*Notification{},
		structures: map[string]*structure{}, enumerations: map[string]*enumeration{}, aliases: map[string]*alias{},
	}
	if err := json.Unmarshal(raw, m); err != nil {
		return nil, err
	}
	for i := range m.Requests {
		m.requests[m.Requests[i].Method] = &m.Requests[i]
	}
	for i := range m.Notifications {
		m.notifications[m.Notifications[i].Method] = &m.Notifications[i]
	}
	for i := range m.Structures {
		m.structures[m.Structures[i].Name] = &m.Structures[i]
	}
	for i := range m.Enumerations {
		m.enumerations[m.Enumerations[i].Name] = &m.Enumerations[i]
	}
	for i := range m.Aliases {
		m.aliases[m.Aliases[i].Name] = &m.Aliases[i]
	}
	for i := range m.Structures {
		if err := m.flatten(&m.Structures[i]); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// UnmarshalJSON reads the value of a type by its kind.
func (t *typ) UnmarshalJSON(raw []byte) error {
	type plain typ
	if err := json.Unmarshal(raw, (*plain)(t)); err != nil {
		return err
	}
	switch t.Kind {
	case "map":
		return json.Unmarshal(t.Value, &t.mapValue)
	case "stringLiteral":
		return json.Unmarshal(t.Value, &t.text)
	case "literal":
		t.literal = &structure{}
		if err := json.Unmarshal(t.Value, t.literal); err != nil {
			return err
		}
		t.literal.all = map[string]property{}
		for _, p := range t.literal.Properties {
			t.literal.all[p.Name] = p
		}
	case "base", "reference", "array", "or", "and", "tuple":
	default:
		return fmt.Errorf("a type of kind %q", t.Kind)
	}
	return nil
}

// flatten gathers the properties of a structure and of those that it extends.
func (m *Model) flatten(s *structure) error {
	if s.all != nil {
		return nil
	}
	s.all = map[string]property{}
	for _, t := range append(append([]*typ{}, s.Extends...), s.Mixins...) {
		base := m.structures[t.Name]
		if base == nil {
			return fmt.Errorf("%s extends %s, which is not there", s.Name, t.Name)
		}
		if err := m.flatten(base); err != nil {
			return err
		}
		for n, p := range base.all {
			s.all[n] = p
		}
	}
	for _, p := range s.Properties {
		s.all[p.Name] = p
	}
	return nil
}
