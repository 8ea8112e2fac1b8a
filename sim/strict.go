package sim

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
)

// ReadStrictly reads a line of JSON that has no unknown field and nothing else in it.
func ReadStrictly(line []byte, into any) error {
	decode := json.NewDecoder(bytes.NewReader(line))
	decode.DisallowUnknownFields()
	if err := decode.Decode(into); err != nil {
		return err
	}
	if _, err := decode.Token(); !errors.Is(err, io.EOF) {
		return errors.New("there is more text behind it on the line")
	}
	return nil
}
