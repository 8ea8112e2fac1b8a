package sizecmd

import "holdbench/plant/sizing"

// JSON is what size --json prints, for its schema.
func JSON() any { return sizing.Sizing{} }
