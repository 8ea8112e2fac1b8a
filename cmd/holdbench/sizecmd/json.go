package sizecmd

import (
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/plant/sizing"
)

// sizeObject is a sizing as one object.
type sizeObject struct {
	sizing.Sizing
	command.Origin
}

// JSON is what size --json prints, for its schema.
func JSON() any { return sizeObject{} }
