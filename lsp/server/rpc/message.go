package rpc

import (
	"bytes"
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"

	"pintle/lang/escape"
)

// Error codes of JSON-RPC and of the Language Server Protocol.
const (
	ParseError           = -32700
	InvalidRequest       = -32600
	MethodNotFound       = -32601
	InvalidParams        = -32602
	InternalError        = -32603
	ServerNotInitialized = -32002
	RequestFailed        = -32803
	ServerCancelled      = -32802
	ContentModified      = -32801
	RequestCancelled     = -32800
)

// Error is an error as it is answered.
type Error struct {
	Code    int             `json:"code"`
	Message string          `json:"message"`
	Data    json.RawMessage `json:"data,omitempty"`
}

func (e *Error) Error() string { return fmt.Sprintf("%s (%d)", e.Message, e.Code) }

// Errorf makes an Error. Its message may hold names and texts of designs.
func Errorf(code int, format string, args ...any) *Error {
	return &Error{Code: code, Message: escape.Lines(fmt.Sprintf(format, args...))}
}

// ID is the id of a request, JSON as it stood on the wire: a number of any size or a text in
// quotes. It is given back to the letter; use Key to compare.
type ID string

var whole = regexp.MustCompile(`^(-?)0*(\d+?)(?:\.0*)?$`)

// Key is the same for ids that are equal as JSON: the number 1 and the text "1" are two, 1
// and 1.0 are one, and so are "a" and "\u0061".
func (id ID) Key() string {
	if id != "" && id[0] == '"' {
		var s string
		if json.Unmarshal([]byte(id), &s) == nil {
			return strconv.Quote(s)
		}
	}
	if m := whole.FindStringSubmatch(string(id)); m != nil {
		if m[2] == "0" {
			return "0"
		}
		return m[1] + m[2]
	}
	return string(id)
}

// Message is a request (with an ID), a notification (without) or an answer (without a
// method).
type Message struct {
	ID     ID
	Method string
	Params json.RawMessage // nil: none
	// Cut: it is a notification that was longer than MaxBody, and its texts are cut.
	Cut bool
	// Of an answer:
	Result json.RawMessage
	Error  *Error
}

// IsAnswer reports whether it answers a request of ours.
func (m *Message) IsAnswer() bool { return m.Method == "" }

type wireMessage struct {
	Version *string         `json:"jsonrpc"`
	ID      json.RawMessage `json:"id"`
	Method  *string         `json:"method"`
	Params  json.RawMessage `json:"params"`
	Result  json.RawMessage `json:"result"`
	Error   *Error          `json:"error"`
}

// parse reads a message. Where it can't, id is that of the request if it could be told.
func parse(body []byte) (m *Message, id ID, bad *Error) {
	if !json.Valid(body) {
		return nil, "", Errorf(ParseError, "this is no JSON")
	}
	if first := bytes.TrimLeft(body, " \t\r\n"); first[0] == '[' {
		return nil, "", Errorf(InvalidRequest, "messages come one by one, not as a list")
	}
	var w wireMessage
	if err := json.Unmarshal(body, &w); err != nil {
		var only struct {
			ID json.RawMessage `json:"id"`
		}
		_ = json.Unmarshal(body, &only) // what can be told of the id is all that is wanted
		id, _ := parseID(only.ID)
		return nil, id, Errorf(InvalidRequest, "this is no message")
	}
	id, ok := parseID(w.ID)
	switch {
	case !ok:
		return nil, "", Errorf(InvalidRequest, "an id is a number or a text")
	case w.Version == nil || *w.Version != "2.0":
		return nil, id, Errorf(InvalidRequest, `a message says "jsonrpc": "2.0"`)
	case w.Method == nil && id == "":
		return nil, "", Errorf(InvalidRequest, "there is neither a method nor an id")
	}
	m = &Message{ID: id, Params: absent(w.Params), Result: w.Result, Error: w.Error}
	if w.Method == nil {
		return m, id, nil
	}
	m.Method = *w.Method
	if m.Method == "" {
		return nil, id, Errorf(InvalidRequest, "the method is empty")
	}
	if p := m.Params; p != nil && p[0] != '{' && p[0] != '[' {
		return nil, id, Errorf(InvalidRequest, "params are an object or a list")
	}
	return m, id, nil
}

func absent(raw json.RawMessage) json.RawMessage {
	if bytes.Equal(raw, []byte("null")) {
		return nil
	}
	return raw
}

// parseID reads an id; none is "". JSON-RPC 2.0, section 4: a text, a number or null. Null can't
// be told from an answer to nobody and is taken for no id at all.
func parseID(raw json.RawMessage) (ID, bool) {
	switch {
	case len(raw) == 0:
		return "", true
	case raw[0] == '"', raw[0] == '-', raw[0] >= '0' && raw[0] <= '9':
		return ID(raw), json.Valid(raw)
	}
	return "", false
}

// json writes the id as JSON; null where there is none.
func (id ID) json() json.RawMessage {
	if id == "" {
		return json.RawMessage("null")
	}
	return json.RawMessage(id)
}

// ParseID reads the id in the params of $/cancelRequest.
func ParseID(raw json.RawMessage) (ID, bool) {
	id, ok := parseID(raw)
	return id, ok && id != ""
}
