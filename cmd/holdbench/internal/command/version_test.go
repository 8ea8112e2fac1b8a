package command

import (
	"runtime/debug"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestVersionOf(t *testing.T) {
	const revision = "0123456789abcdef0123456789abcdef01234567"
	built := func(version string, settings ...debug.BuildSetting) *debug.BuildInfo {
		return &debug.BuildInfo{Main: debug.Module{Version: version}, Settings: settings}
	}
	at := debug.BuildSetting{Key: "vcs.revision", Value: revision}
	for _, c := range []struct {
		info *debug.BuildInfo
		want string
	}{
		{nil, "development build"},
		{built("(devel)"), "development build"}, // go run
		{built(""), "development build"},
		{built("v1.2.0"), "v1.2.0"},
		{built("v1.2.1-0.20260302101500-0123456789ab+dirty"), "v1.2.1-0.20260302101500-0123456789ab-dirty"},
		{built("(devel)", at), "revision 0123456789ab"},
		{built("(devel)", at, debug.BuildSetting{Key: "vcs.modified", Value: "true"}), "revision 0123456789ab-dirty"},
		{built("", at, debug.BuildSetting{Key: "vcs.modified", Value: "false"}), "revision 0123456789ab"},
	} {
		assert.Equal(t, c.want, versionOf(c.info))
	}
}
