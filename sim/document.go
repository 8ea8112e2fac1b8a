package sim

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
	"strings"
)

// Document is something that a case was read from, known by its content.
type Document struct {
	Kind   string `json:"kind"`   // scenario, rig, sequence, replaced sequence or program
	Name   string `json:"name"`   // of what is built in, or of the file, without its folder
	SHA256 string `json:"sha256"` // of its bytes
	File   string `json:"-"`      // that was read, empty for what is built in
}

// NewDocument is a document by the place that it was read from, of which builtin: marks what is built
// in, and its bytes.
func NewDocument(kind, place string, text []byte) Document {
	sum := sha256.Sum256(text)
	d := Document{Kind: kind, Name: filepath.Base(place), SHA256: hex.EncodeToString(sum[:]), File: place}
	if inside, ok := strings.CutPrefix(place, "builtin:"); ok {
		d.Name, d.File = strings.TrimSuffix(filepath.Base(inside), ".yaml"), ""
	}
	return d
}
