package metamodel

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"net/url"
	"reflect"
	"slices"
	"strings"
)

// Request returns a request of the protocol by its method, or nil.
func (m *Model) Request(method string) *Request { return m.requests[method] }

// FromServer checks a message as the server sent it. methodOf reports which request of the
// client an answer belongs to; "" for none, "-" for one outside of the protocol.
func (m *Model) FromServer(body []byte, methodOf func(id string) string) error {
	v, err := decodeStrict(body)
	if err != nil {
		return err
	}
	msg, ok := v.(map[string]any)
	if !ok {
		return errors.New("the message is no object")
	}
	if msg["jsonrpc"] != "2.0" {
		return errors.New(`"jsonrpc" is not "2.0"`)
	}
	method, isCall := msg["method"].(string)
	id, hasID := msg["id"]
	switch {
	case isCall && hasID:
		if err := onlyKeys(msg, "jsonrpc", "id", "method", "params"); err != nil {
			return err
		}
		r := m.requests[method]
		if r == nil || r.Direction == "clientToServer" {
			return fmt.Errorf("%s is no request that a server sends", method)
		}
		if err := m.params(r.Params, msg); err != nil {
			return fmt.Errorf("%s: %w", method, err)
		}
		return m.more(method, msg["params"])
	case isCall:
		if err := onlyKeys(msg, "jsonrpc", "method", "params"); err != nil {
			return err
		}
		n := m.notifications[method]
		if n == nil || n.Direction == "clientToServer" {
			return fmt.Errorf("%s is no notification that a server sends", method)
		}
		if err := m.params(n.Params, msg); err != nil {
			return fmt.Errorf("%s: %w", method, err)
		}
		return m.more(method, msg["params"])
	case !hasID:
		return errors.New("neither a method nor an id")
	}
	if err := onlyKeys(msg, "jsonrpc", "id", "result", "error"); err != nil {
		return err
	}
	result, hasResult := msg["result"]
	failure, hasError := msg["error"]
	if hasResult == hasError {
		return errors.New("an answer has either a result or an error")
	}
	if hasError {
		return errorObject(failure)
	}
	key, err := json.Marshal(id)
	if err != nil {
		return err
	}
	switch of := methodOf(string(key)); {
	case of == "":
		return fmt.Errorf("an answer to %s, which nobody asked", key)
	case of == "-":
		return nil
	case m.requests[of] == nil:
		return fmt.Errorf("a result for %s, which is no request", of)
	default:
		if err := m.check(m.requests[of].Result, result); err != nil {
			return fmt.Errorf("result of %s: %w", of, err)
		}
	}
	return nil
}

// decodeStrict reads JSON with its numbers as they are, and nothing behind it.
func decodeStrict(body []byte) (any, error) {
	d := json.NewDecoder(bytes.NewReader(body))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return nil, err
	}
	if d.More() {
		return nil, errors.New("something follows the message")
	}
	return v, nil
}

func onlyKeys(m map[string]any, known ...string) error {
	for k := range m {
		if !slices.Contains(known, k) {
			return fmt.Errorf("%q does not belong into a message", k)
		}
	}
	return nil
}

func errorObject(v any) error {
	e, ok := v.(map[string]any)
	if !ok {
		return errors.New("the error is no object")
	}
	if err := onlyKeys(e, "code", "message", "data"); err != nil {
		return err
	}
	if err := integer(e["code"], math.MinInt32, math.MaxInt32); err != nil {
		return fmt.Errorf("code: %w", err)
	}
	if _, ok := e["message"].(string); !ok {
		return errors.New("the error has no message")
	}
	return nil
}

func (m *Model) params(t *typ, msg map[string]any) error {
	p, there := msg["params"]
	switch {
	case t == nil && there:
		return errors.New("it takes no params")
	case t == nil:
		return nil
	case !there:
		return errors.New("it lacks params")
	}
	return m.check(t, p)
}

// more checks what the model leaves open: the value of a progress, the options of a
// registration.
func (m *Model) more(method string, params any) error {
	p, _ := params.(map[string]any)
	switch method {
	case "$/progress":
		value, ok := p["value"].(map[string]any)
		if !ok {
			return nil // a partial result
		}
		if kind, ok := value["kind"].(string); ok && kind != "" {
			name := "WorkDoneProgress" + strings.ToUpper(kind[:1]) + kind[1:]
			return m.check(&typ{Kind: "reference", Name: name}, p["value"])
		}
	case "client/registerCapability":
		list, _ := p["registrations"].([]any)
		for _, r := range list {
			reg, _ := r.(map[string]any)
			of, _ := reg["method"].(string)
			var t *typ
			if n := m.notifications[of]; n != nil {
				t = n.RegistrationOptions
			} else if q := m.requests[of]; q != nil {
				t = q.RegistrationOptions
			} else {
				return fmt.Errorf("a registration of %q, which there is not", of)
			}
			if options, there := reg["registerOptions"]; there && t != nil {
				if err := m.check(t, options); err != nil {
					return fmt.Errorf("options of %s: %w", of, err)
				}
			}
		}
	}
	return nil
}

// check holds a value against a type.
func (m *Model) check(t *typ, v any) error {
	switch t.Kind {
	case "base":
		return base(t.Name, v)
	case "reference":
		return m.reference(t.Name, v)
	case "array":
		list, ok := v.([]any)
		if !ok {
			return fmt.Errorf("%s is no list", brief(v))
		}
		for i, e := range list {
			if err := m.check(t.Element, e); err != nil {
				return fmt.Errorf("[%d]: %w", i, err)
			}
		}
		return nil
	case "tuple":
		list, ok := v.([]any)
		if !ok || len(list) != len(t.Items) {
			return fmt.Errorf("%s is no list of %d", brief(v), len(t.Items))
		}
		for i, e := range list {
			if err := m.check(t.Items[i], e); err != nil {
				return fmt.Errorf("[%d]: %w", i, err)
			}
		}
		return nil
	case "map":
		object, ok := v.(map[string]any)
		if !ok {
			return fmt.Errorf("%s is no object", brief(v))
		}
		for k, e := range object {
			if err := m.check(t.Key, k); err != nil {
				return fmt.Errorf("key %q: %w", k, err)
			}
			if err := m.check(t.mapValue, e); err != nil {
				return fmt.Errorf("%s: %w", k, err)
			}
		}
		return nil
	case "stringLiteral":
		if v != t.text {
			return fmt.Errorf("%s is not %q", brief(v), t.text)
		}
		return nil
	case "literal":
		return m.properties("literal", t.literal.all, v)
	case "or":
		return m.anyOf(t.Items, v)
	case "and":
		return m.allOf(t.Items, v)
	}
	return fmt.Errorf("a type of kind %q", t.Kind)
}

func (m *Model) anyOf(types []*typ, v any) error {
	var all []error
	for _, t := range types {
		err := m.check(t, v)
		if err == nil {
			return nil
		}
		all = append(all, err)
	}
	return fmt.Errorf("none of %d types fits: %w", len(types), errors.Join(all...))
}

// allOf takes the structures of an intersection together.
func (m *Model) allOf(types []*typ, v any) error {
	all := map[string]property{}
	for _, t := range types {
		s := m.structures[t.Name]
		if s == nil {
			return fmt.Errorf("an intersection with %s, which is no structure", t.Name)
		}
		for n, p := range s.all {
			all[n] = p
		}
	}
	return m.properties("intersection", all, v)
}

func (m *Model) reference(name string, v any) error {
	switch name {
	case "LSPAny", "LSPObject", "LSPArray":
		return nil
	}
	if s := m.structures[name]; s != nil {
		return m.properties(name, s.all, v)
	}
	if a := m.aliases[name]; a != nil {
		return m.check(a.Type, v)
	}
	if e := m.enumerations[name]; e != nil {
		return m.enumerated(e, v)
	}
	return fmt.Errorf("the model has no %s", name)
}

func (m *Model) enumerated(e *enumeration, v any) error {
	if err := m.check(e.Type, v); err != nil {
		return err
	}
	if e.Custom {
		return nil
	}
	got := v
	if n, ok := v.(json.Number); ok {
		f, err := n.Float64()
		if err != nil {
			return err
		}
		got = f
	}
	for _, known := range e.Values {
		if reflect.DeepEqual(known.Value, got) {
			return nil
		}
	}
	return fmt.Errorf("%s is no %s", brief(v), e.Name)
}

func (m *Model) properties(name string, all map[string]property, v any) error {
	object, ok := v.(map[string]any)
	if !ok {
		return fmt.Errorf("%s is no %s", brief(v), name)
	}
	for k, e := range object {
		p, known := all[k]
		if !known {
			return fmt.Errorf("%s has no property %q", name, k)
		}
		if err := m.check(p.Type, e); err != nil {
			return fmt.Errorf("%s.%s: %w", name, k, err)
		}
	}
	for k, p := range all {
		if _, there := object[k]; !there && !p.Optional {
			return fmt.Errorf("%s lacks %q", name, k)
		}
	}
	return nil
}

func base(name string, v any) error {
	ok := false
	switch name {
	case "URI", "DocumentUri":
		s, isText := v.(string)
		if !isText {
			break
		}
		u, err := url.Parse(s)
		ok = err == nil && u.Scheme != ""
	case "string", "RegExp":
		_, ok = v.(string)
	case "boolean":
		_, ok = v.(bool)
	case "null":
		ok = v == nil
	case "decimal":
		_, ok = v.(json.Number)
	case "integer":
		return integer(v, math.MinInt32, math.MaxInt32)
	case "uinteger":
		return integer(v, 0, math.MaxInt32)
	default:
		return fmt.Errorf("the base type %s", name)
	}
	if !ok {
		return fmt.Errorf("%s is no %s", brief(v), name)
	}
	return nil
}

func integer(v any, least, most int64) error {
	n, ok := v.(json.Number)
	if !ok {
		return fmt.Errorf("%s is no number", brief(v))
	}
	i, err := n.Int64()
	if err != nil || i < least || i > most {
		return fmt.Errorf("%s is not from %d to %d", n, least, most)
	}
	return nil
}

func brief(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Sprint(v)
	}
	if len(b) > 80 {
		return string(b[:77]) + "…"
	}
	return string(b)
}
