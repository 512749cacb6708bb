package convert

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// File systems of Unix have names that are no UTF-8, and RFC 3986, section 2.1, has an address
// for them: `caf%E9.pintle`. The library of the protocol takes such a code for a percent
// sign and two letters, and so for the address of another file. Between the wire and the
// names of files each such byte is a character of its own, one of the last 128 of Unicode's last
// private plane, which nobody uses; a name with one of those has each byte of it written so.
const firstByteCode = 0x10FF80 // for the byte 0x80

var (
	// The text of a document is none, whatever it looks like.
	fileAddress = regexp.MustCompile(`(?:"text"\s*:\s*)?"file://[^"\\\s]*%[89A-Fa-f][^"\\\s]*"`)
	code        = regexp.MustCompile(`%[89A-Fa-f]`)
	codes       = regexp.MustCompile(`(?:%[0-9A-Fa-f]{2})+`)
	// byteCode is how the library writes one of those characters.
	byteCode = regexp.MustCompile(`%F4%8F%B[EF]%[89AB][0-9A-F]`)
)

// FromWire makes the addresses of files in params such that the library keeps every byte.
func FromWire(params []byte) []byte {
	return addresses(params, func(address []byte) []byte {
		return codes.ReplaceAllFunc(address, func(run []byte) []byte {
			var raw []byte
			for i := 1; i < len(run); i += 3 {
				b, _ := strconv.ParseUint(string(run[i:i+2]), 16, 8) // two digits, as the expression says
				raw = append(raw, byte(b))
			}
			coded := encodeBytes(string(raw))
			if coded == string(raw) {
				return run
			}
			var out strings.Builder
			for _, b := range []byte(coded) {
				fmt.Fprintf(&out, "%%%02X", b)
			}
			return []byte(out.String())
		})
	})
}

// ToWire takes back what FromWire does, in what is sent.
func ToWire(message []byte) []byte {
	return addresses(message, func(address []byte) []byte {
		return byteCode.ReplaceAllFunc(address, func(code []byte) []byte {
			var raw [utf8.UTFMax]byte
			for i := range raw {
				b, _ := strconv.ParseUint(string(code[3*i+1:3*i+3]), 16, 8) // as the expression says
				raw[i] = byte(b)
			}
			r, _ := utf8.DecodeRune(raw[:])
			return fmt.Appendf(nil, "%%%02X", byte(r-firstByteCode+0x80))
		})
	})
}

// addresses writes those of files in a message anew, where a code stands for no letter of ASCII.
func addresses(message []byte, by func([]byte) []byte) []byte {
	if !code.Match(message) {
		return message
	}
	return fileAddress.ReplaceAllFunc(message, func(address []byte) []byte {
		if bytes.HasPrefix(address, []byte(`"text"`)) {
			return address
		}
		return by(address)
	})
}

// encodeBytes puts a character in the place of each byte of a name that is no UTF-8.
func encodeBytes(name string) string {
	var out strings.Builder
	for i := 0; i < len(name); {
		r, n := utf8.DecodeRuneInString(name[i:])
		if r == utf8.RuneError && n == 1 || r >= firstByteCode {
			for _, b := range []byte(name[i : i+n]) {
				out.WriteRune(firstByteCode + rune(b) - 0x80)
			}
		} else {
			out.WriteString(name[i : i+n])
		}
		i += n
	}
	return out.String()
}

// decodeBytes takes back what encodeBytes does.
func decodeBytes(name string) string {
	if strings.IndexFunc(name, func(r rune) bool { return r >= firstByteCode }) < 0 {
		return name
	}
	var out strings.Builder
	for _, r := range name {
		if r >= firstByteCode {
			out.WriteByte(byte(r - firstByteCode + 0x80))
		} else {
			out.WriteRune(r)
		}
	}
	return out.String()
}
