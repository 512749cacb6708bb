package server

import (
	"encoding/json"
	"strings"
)

// Client is what the client can do and wants. It is asked by paths, so that something
// odd in one place of its capabilities costs nothing else.
type Client struct {
	Name         string
	capabilities map[string]json.RawMessage
	// Pull: the client asks for diagnostics; they are not pushed then.
	Pull bool
}

// at returns what stands at a path such as "textDocument.hover.contentFormat", or nil.
func (c *Client) at(path string) json.RawMessage {
	members := c.capabilities
	words := strings.Split(path, ".")
	for i, w := range words {
		v, ok := members[w]
		if !ok || i == len(words)-1 {
			return v
		}
		members = nil
		if json.Unmarshal(v, &members) != nil {
			return nil
		}
	}
	return nil
}

// Can reports whether a capability is true.
func (c *Client) Can(path string) bool {
	var b bool
	return json.Unmarshal(c.at(path), &b) == nil && b
}

// Says reports whether a capability is there, whatever it holds.
func (c *Client) Says(path string) bool {
	v := c.at(path)
	return len(v) > 0 && string(v) != "null"
}

// Words returns a list of texts, such as the formats that a client can show.
func (c *Client) Words(path string) []string {
	var out []string
	if json.Unmarshal(c.at(path), &out) != nil {
		return nil
	}
	return out
}

// Numbers returns a list of numbers, such as the tags that a client knows.
func (c *Client) Numbers(path string) []int {
	var out []int
	if json.Unmarshal(c.at(path), &out) != nil {
		return nil
	}
	return out
}
