package survival

import (
	"os"
	"path/filepath"
)

// tables is the folder of published data.
var tables = os.DirFS(filepath.Join("..", "..", "testdata", "reference"))
