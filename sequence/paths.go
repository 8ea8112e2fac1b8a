package sequence

import (
	"strconv"
	"strings"
)

// paramsPath leads to the parameters of a document.
const paramsPath = "$.params"

// valuesPath leads to the values that override parameters; they are not part of the
// document.
const valuesPath = "values."

// ValuePath is the path at which problems with the value of a parameter are reported
// that was given to Vet or Compile.
func ValuePath(name string) string { return valuesPath + name }

// pathKey appends one key to a path, quoted as goccy/go-yaml requires.
func pathKey(path, key string) string {
	if key == "" {
		return path // a path cannot name an empty key: point at what holds it
	}
	if strings.ContainsAny(key, "$*.[]'\\ ") {
		key = "'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(key) + "'"
	}
	return path + "." + key
}

// readablePath cuts a path off before a key with a quote or a backslash in it,
// whose escape goccy/go-yaml writes but cannot read back.
func readablePath(path string) string {
	if i := strings.IndexByte(path, '\\'); i >= 0 {
		return path[:max(strings.LastIndex(path[:i], ".'"), 0)]
	}
	return path
}

func pathIndex(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }
