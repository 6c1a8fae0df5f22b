package web

import (
	"bytes"
	"compress/gzip"
	"path"
	"testing"
)

// TestBudget holds all scripts together, each compressed as it is sent, to what a bad line carries.
func TestBudget(t *testing.T) {
	t.Parallel()
	size := func(content []byte) int {
		var b bytes.Buffer
		z, err := gzip.NewWriterLevel(&b, 5) // the server's level
		if err != nil {
			t.Fatal(err)
		}
		z.Write(content)
		z.Close()
		return b.Len()
	}
	scripts := 0
	for name, content := range tree().files {
		if path.Ext(name) == ".js" {
			scripts += size(content)
		}
	}
	styles := size(tree().files["app.css"])
	t.Logf("scripts %.1f KB, styles %.1f KB", float64(scripts)/1000, float64(styles)/1000)
	if scripts > 30_000 || scripts == 0 {
		t.Errorf("the scripts are %d bytes, at most 30 KB", scripts)
	}
	if styles > 20_000 || styles == 0 {
		t.Errorf("the style sheet is %d bytes, at most 20 KB", styles)
	}
}
