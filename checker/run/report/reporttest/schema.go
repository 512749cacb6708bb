// Package reporttest holds outputs for programs against their schemas.
package reporttest

import (
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Conforms demands of a JSON text that it is as a schema says, of as much of JSON Schema
// (draft 2020-12) as the schemas of the project use; another word in a schema is an error.
func Conforms(t testing.TB, schema string, text []byte) {
	t.Helper()
	raw, err := os.ReadFile(schema)
	require.NoError(t, err)
	var s map[string]any
	require.NoError(t, json.Unmarshal(raw, &s), schema)
	var v any
	require.NoError(t, json.Unmarshal(text, &v))
	c := checker{root: s}
	c.check("$", s, v)
	require.Empty(t, c.wrong, schema)
}

type checker struct {
	root  map[string]any
	wrong []string
}

func (c *checker) say(at, format string, args ...any) {
	c.wrong = append(c.wrong, at+": "+fmt.Sprintf(format, args...))
}

var known = []string{"$schema", "$defs", "$ref", "title", "description", "type", "required", "properties", "additionalProperties", "items", "enum", "const"}

func (c *checker) check(at string, s map[string]any, v any) {
	for word := range s {
		if !slices.Contains(known, word) {
			c.say(at, "the schema says %q, which is not understood", word)
		}
	}
	if ref, ok := s["$ref"].(string); ok {
		defs, _ := c.root["$defs"].(map[string]any)
		def, ok := defs[strings.TrimPrefix(ref, "#/$defs/")].(map[string]any)
		if !ok {
			c.say(at, "the schema has no %s", ref)
			return
		}
		c.check(at, def, v)
		return
	}
	if want, ok := s["const"]; ok && want != v {
		c.say(at, "%v is not %v", v, want)
	}
	if list, ok := s["enum"].([]any); ok && !slices.Contains(list, v) {
		c.say(at, "%v is none of %v", v, list)
	}
	is := ""
	switch v := v.(type) {
	case map[string]any:
		is = "object"
		c.object(at, s, v)
	case []any:
		is = "array"
		items, _ := s["items"].(map[string]any)
		for i, x := range v {
			c.check(fmt.Sprintf("%s[%d]", at, i), items, x)
		}
	case string:
		is = "string"
	case bool:
		is = "boolean"
	case float64:
		is = "number"
		if s["type"] == "integer" && v == float64(int64(v)) {
			is = "integer"
		}
	}
	if want, ok := s["type"].(string); ok && want != is {
		c.say(at, "is no %s", want)
	}
}

func (c *checker) object(at string, s, v map[string]any) {
	properties, _ := s["properties"].(map[string]any)
	for key, x := range v {
		p, ok := properties[key].(map[string]any)
		if !ok {
			c.say(at, "the schema has no %q", key)
			continue
		}
		c.check(at+"."+key, p, x)
	}
	required, _ := s["required"].([]any)
	for _, key := range required {
		if _, ok := v[key.(string)]; !ok {
			c.say(at, "%q is missing", key)
		}
	}
}
