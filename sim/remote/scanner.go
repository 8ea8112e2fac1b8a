package remote

import (
	"errors"
	"fmt"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// scanner reads JSON (RFC 8259) from one line, a token at a time, without allocating: what it returns
// lies in the line or in its own buffer and holds until the next text.
type scanner struct {
	line []byte
	at   int
	text []byte // of the newest text that had escapes
}

func (s *scanner) space() {
	for s.at < len(s.line) {
		switch s.line[s.at] {
		case ' ', '\t', '\r', '\n':
			s.at++
		default:
			return
		}
	}
}

// take takes a character after white space, if it is the next.
func (s *scanner) take(c byte) bool {
	s.space()
	if s.at < len(s.line) && s.line[s.at] == c {
		s.at++
		return true
	}
	return false
}

// next is the next character after white space; 0 at the end.
func (s *scanner) next() byte {
	s.space()
	if s.at < len(s.line) {
		return s.line[s.at]
	}
	return 0
}

// wants is the error of something else that stands here.
func (s *scanner) wants(what string) error {
	if s.next() == 0 && s.at >= len(s.line) {
		return fmt.Errorf("it ends where %s is expected", what)
	}
	return fmt.Errorf("character %d is %q, where %s is expected", s.at+1, rune(s.line[s.at]), what)
}

// object reads an object and hands over each key; each takes the value.
func (s *scanner) object(each func(key []byte) error) error {
	if !s.take('{') {
		return s.wants("an object")
	}
	if s.take('}') {
		return nil
	}
	for {
		key, err := s.string()
		if err != nil {
			return err
		}
		if !s.take(':') {
			return s.wants("a colon")
		}
		if err := each(key); err != nil {
			return err
		}
		switch {
		case s.take(','):
		case s.take('}'):
			return nil
		default:
			return s.wants("a comma or the end of the object")
		}
	}
}

// string reads a text.
func (s *scanner) string() ([]byte, error) {
	if !s.take('"') {
		return nil, s.wants("a text in quotes")
	}
	from := s.at
	for s.at < len(s.line) {
		switch c := s.line[s.at]; {
		case c == '"':
			s.at++
			return checkedText(s.line[from : s.at-1])
		case c == '\\':
			return s.escaped(from)
		case c < ' ':
			return nil, s.wants("no control character")
		}
		s.at++
	}
	return nil, errors.New("it ends in the middle of a text")
}

func checkedText(text []byte) ([]byte, error) {
	if !utf8.Valid(text) {
		return nil, errors.New("a text is not UTF-8")
	}
	return text, nil
}

// escaped reads the rest of a text into the buffer.
func (s *scanner) escaped(from int) ([]byte, error) {
	s.text = append(s.text[:0], s.line[from:s.at]...)
	for s.at < len(s.line) {
		c := s.line[s.at]
		s.at++
		switch {
		case c == '"':
			return checkedText(s.text)
		case c < ' ':
			s.at--
			return nil, s.wants("no control character")
		case c != '\\':
			s.text = append(s.text, c)
		default:
			if err := s.escape(); err != nil {
				return nil, err
			}
		}
	}
	return nil, errors.New("it ends in the middle of a text")
}

// escape reads what follows a backslash.
func (s *scanner) escape() error {
	if s.at >= len(s.line) {
		return errors.New("it ends in the middle of a text")
	}
	c := s.line[s.at]
	s.at++
	switch c {
	case '"', '\\', '/':
		s.text = append(s.text, c)
	case 'b':
		s.text = append(s.text, '\b')
	case 'f':
		s.text = append(s.text, '\f')
	case 'n':
		s.text = append(s.text, '\n')
	case 'r':
		s.text = append(s.text, '\r')
	case 't':
		s.text = append(s.text, '\t')
	case 'u':
		r, err := s.unicode()
		if err != nil {
			return err
		}
		s.text = utf8.AppendRune(s.text, r)
	default:
		s.at--
		return s.wants("an escape of JSON")
	}
	return nil
}

// unicode reads four digits, and the other half of a pair if they are the first; half a pair alone
// becomes the replacement character, as other readers of JSON have it.
func (s *scanner) unicode() (rune, error) {
	r, err := s.hex()
	if err != nil || !utf16.IsSurrogate(r) {
		return r, err
	}
	back := s.at
	if s.at+1 < len(s.line) && s.line[s.at] == '\\' && s.line[s.at+1] == 'u' {
		s.at += 2
		second, err := s.hex()
		if err != nil {
			return 0, err
		}
		if whole := utf16.DecodeRune(r, second); whole != utf8.RuneError {
			return whole, nil
		}
	}
	s.at = back
	return utf8.RuneError, nil
}

func (s *scanner) hex() (rune, error) {
	var r rune
	for range 4 {
		if s.at >= len(s.line) {
			return 0, errors.New("it ends in the middle of a text")
		}
		c := s.line[s.at]
		switch {
		case c >= '0' && c <= '9':
			r = r<<4 | rune(c-'0')
		case c >= 'a' && c <= 'f':
			r = r<<4 | rune(c-'a'+10)
		case c >= 'A' && c <= 'F':
			r = r<<4 | rune(c-'A'+10)
		default:
			return 0, s.wants("a hexadecimal digit")
		}
		s.at++
	}
	return r, nil
}

// word takes true, false or null.
func (s *scanner) word(word string) bool {
	s.space()
	if len(s.line)-s.at >= len(word) && string(s.line[s.at:s.at+len(word)]) == word {
		s.at += len(word)
		return true
	}
	return false
}

// boolean reads true or false.
func (s *scanner) boolean() (bool, error) {
	switch {
	case s.word("true"):
		return true, nil
	case s.word("false"):
		return false, nil
	}
	return false, s.wants("true or false")
}

// digits takes digits and is false if there are none.
func (s *scanner) digits() bool {
	from := s.at
	for s.at < len(s.line) && s.line[s.at] >= '0' && s.line[s.at] <= '9' {
		s.at++
	}
	return s.at > from
}

// is takes one of some characters.
func (s *scanner) is(one string) bool {
	for i := range len(one) {
		if s.at < len(s.line) && s.line[s.at] == one[i] {
			s.at++
			return true
		}
	}
	return false
}

// number reads a number as the grammar of JSON has it.
func (s *scanner) number() (float64, error) {
	s.space()
	from := s.at
	s.is("-")
	first := s.at
	ok := s.digits() && (s.at == first+1 || s.line[first] != '0')
	if ok && s.is(".") {
		ok = s.digits()
	}
	if ok && s.is("eE") {
		s.is("+-")
		ok = s.digits()
	}
	if !ok {
		return 0, s.wants("a number")
	}
	v, err := strconv.ParseFloat(string(s.line[from:s.at]), 64)
	if err != nil { // the grammar holds, so it is out of range
		return 0, errors.New("a number is out of range")
	}
	return v, nil
}

// end refuses what follows.
func (s *scanner) end() error {
	if s.space(); s.at < len(s.line) {
		return s.wants("the end of the line")
	}
	return nil
}
