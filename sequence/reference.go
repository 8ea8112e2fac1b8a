package sequence

import _ "embed" // for the reference sequence

//go:embed reference.yaml
var reference string

// Reference is the text of the reference sequence, a YAML document of the shape
// of Document. The slice is the caller's own.
func Reference() []byte { return []byte(reference) }
