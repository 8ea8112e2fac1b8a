// Package journal writes and reads files that are kept while a command works: a JSON object a line, each with its
// checksum. What a reader holds is bounded, whatever the file.
package journal

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
)

// Checksum is the last key of each line: the CRC-32C (Castagnoli, RFC 3720 appendix B.4) of the bytes ahead of its
// comma, as eight hexadecimal digits. Lines of older files do not have it.
type Checksum struct {
	CRC string `json:"crc,omitempty"`
}

// MostBytes bounds a line.
const MostBytes = 16 << 20

const (
	crcAhead  = `,"crc":"`
	crcDigits = 8
	crcBehind = `"}`
)

// Line is an object with at least one key as a line, with its checksum. Signs such as > stay readable: nothing of
// it goes into a web page.
func Line(v any) ([]byte, error) {
	var line bytes.Buffer
	encoder := json.NewEncoder(&line)
	encoder.SetEscapeHTML(false)
	if err := encoder.Encode(v); err != nil {
		return nil, err
	}
	return Checked(line.Bytes())
}

// Checked is a line, as [Reader.Next] returns it, with its checksum.
func Checked(line []byte) ([]byte, error) {
	text := bytes.Clone(bytes.TrimSuffix(line, []byte("}\n")))
	switch {
	case len(text) == len(line) || len(text) < 2:
		return nil, fmt.Errorf("a line of a journal is %q; must be an object with a key", line)
	case len(line) > MostBytes/2:
		return nil, fmt.Errorf("a line of a journal has %d bytes; must have at most %d", len(line), MostBytes/2)
	}
	return append(fmt.Appendf(text, `%s%0*x`, crcAhead, crcDigits, sumOf(text)), crcBehind+"\n"...), nil
}

func sumOf(text []byte) uint32 { return crc32.Checksum(text, crc32.MakeTable(crc32.Castagnoli)) }

// Reader reads lines.
type Reader struct {
	in      *bufio.Reader
	line    int
	bytes   int64
	checked bool // the first line has a checksum, so that all must have one
	text    []byte
}

// NewReader reads a file from its beginning.
func NewReader(r io.Reader) *Reader { return &Reader{in: bufio.NewReaderSize(r, 1<<16)} }

// Line is the number of the line that was read last, from 1.
func (r *Reader) Line() int { return r.line }

// Bytes is how many bytes the lines up to that one have, with it.
func (r *Reader) Bytes() int64 { return r.bytes }

// Next is the next line without its checksum, valid until the next call; [io.EOF] at the end of those that are
// complete. A line without its end was interrupted and is none. The error names the line.
func (r *Reader) Next() ([]byte, error) {
	r.line++
	whole, err := r.read()
	if err != nil {
		return nil, err
	}
	r.bytes += int64(len(whole))
	text, has, err := unchecked(whole)
	switch {
	case err != nil:
		return nil, fmt.Errorf("line %d: %w", r.line, err)
	case r.line == 1:
		r.checked = has
	case r.checked && !has:
		return nil, fmt.Errorf("line %d: it has no checksum, as the first line has; must be the file as it was written", r.line)
	}
	return text, nil
}

// read reads a line of bounded length, with its end.
func (r *Reader) read() ([]byte, error) {
	r.text = r.text[:0]
	for {
		piece, err := r.in.ReadSlice('\n')
		r.text = append(r.text, piece...)
		switch {
		case err == nil:
			return r.text, nil
		case !errors.Is(err, bufio.ErrBufferFull):
			return nil, err // an end within a line too
		case len(r.text) > MostBytes:
			return nil, fmt.Errorf("line %d: it has more than %d bytes; must be a file that holdbench has written", r.line, MostBytes)
		}
	}
}

// unchecked takes the checksum from a line that has one.
func unchecked(line []byte) (text []byte, has bool, err error) {
	at := len(line) - len(crcAhead) - crcDigits - len(crcBehind) - 1
	if at < 1 || !bytes.HasPrefix(line[at:], []byte(crcAhead)) || !bytes.HasSuffix(line, []byte(crcBehind+"\n")) {
		return line, false, nil
	}
	written := line[at+len(crcAhead):][:crcDigits]
	if sum := fmt.Appendf(nil, "%0*x", crcDigits, sumOf(line[:at])); !bytes.Equal(sum, written) {
		return nil, true, fmt.Errorf("its checksum is %s and that of its text %s; must be the line as it was written: the lines ahead of it are sound", written, sum)
	}
	return append(line[:at], "}\n"...), true, nil
}
