package recording

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"

	"holdbench/plant/problem"
)

// Read reads a recording from a file, line by line. The error names the file, the line and the column; it is a
// [problem.List].
func Read(source string, in io.Reader, o Options) (*Recording, error) {
	hash := sha256.New()
	in = io.TeeReader(in, hash)
	r, err := read(in, &o)
	if err == nil {
		_, err = io.Copy(io.Discard, in) // what a span leaves unread belongs to the file
	}
	if err != nil {
		return nil, problem.List{located(source, err)}
	}
	r.Source, r.SHA256 = source, hex.EncodeToString(hash.Sum(nil))
	return r, nil
}

func located(source string, err error) problem.Problem {
	p := problem.Problem{File: source, Message: err.Error()}
	var place *placeError
	if !errors.As(err, &place) {
		return p
	}
	p.Message, p.Line, p.Column = place.message, place.line, place.column
	if p.Line > 0 {
		p.Column = max(1, p.Column)
	}
	return p
}

// read reads a file whose bytes are not kept: only its head is, until the layout is found.
func read(in io.Reader, o *Options) (*Recording, error) {
	text, err := newLines(in)
	if err != nil {
		return nil, err
	}
	h, err := readHead(text)
	if err != nil {
		return nil, err
	}
	f, err := findLayout(h, o)
	if err != nil {
		return nil, err
	}
	r, err := newReader(h, f, o)
	if err != nil {
		return nil, err
	}
	for i := f.values; i < len(h.texts) && err == nil; i++ {
		err = r.line(h.texts[i], h.numbers[i])
	}
	for more := true; more && err == nil; {
		if more, err = text.next(); more && err == nil {
			err = r.line(text.text, text.number)
		}
	}
	if err != nil && !errors.Is(err, errSpanEnds) {
		return nil, err
	}
	r.recording.Layout.Encoding = text.encoding
	return r.finish()
}

func readHead(text *lines) (*head, error) {
	h, size := &head{}, 0
	for len(h.texts) < lookAhead && size < lookAheadBytes {
		more, err := text.next()
		if err != nil {
			return nil, err
		}
		if !more {
			break
		}
		h.texts = append(h.texts, bytes.Clone(text.text))
		h.numbers = append(h.numbers, text.number)
		size += len(text.text)
	}
	if len(h.texts) == 0 {
		return nil, at(0, 0, "the file is empty; must have a heading and lines of numbers")
	}
	return h, nil
}
