package files

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStream(t *testing.T) {
	folder := t.TempDir()
	name := filepath.Join(folder, "a.csv")
	require.NoError(t, os.WriteFile(name, []byte("a,b\n"), 0o600))
	ctx, stop := context.WithCancel(t.Context())
	s, err := Disk{}.Stream(ctx, nil, filepath.ToSlash(name))
	require.NoError(t, err)
	assert.Equal(t, int64(4), s.Size)
	text, err := io.ReadAll(s)
	require.NoError(t, err)
	assert.Equal(t, "a,b\n", string(text))
	stop()
	_, err = s.Read(make([]byte, 1))
	require.ErrorIs(t, err, context.Canceled)
	require.NoError(t, s.Close())
	_, err = Disk{}.Stream(t.Context(), nil, filepath.ToSlash(folder))
	assert.Error(t, err, "a folder is no plain file")
	_, err = Disk{}.Stream(t.Context(), nil, filepath.ToSlash(name)+"x")
	assert.ErrorIs(t, err, os.ErrNotExist)
}
