package command

import (
	"runtime/debug"
	"strings"
)

// Version is the version of the build.
func Version() string {
	info, _ := debug.ReadBuildInfo()
	return versionOf(info)
}

// versionOf is the version of the module, or else the revision that was built; a build may know neither.
func versionOf(info *debug.BuildInfo) string {
	const unknown = "development build"
	if info == nil {
		return unknown
	}
	if v := info.Main.Version; v != "" && v != "(devel)" {
		return strings.Replace(v, "+dirty", "-dirty", 1)
	}
	revision, dirty := "", ""
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			revision = s.Value
		case s.Key == "vcs.modified" && s.Value == "true":
			dirty = "-dirty"
		}
	}
	if revision == "" {
		return unknown
	}
	return "revision " + revision[:min(len(revision), 12)] + dirty
}
