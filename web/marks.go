package web

import (
	"encoding/json"
	"net/http"
)

// writeJSON answers a program.
func writeJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // a reader who has left is no error
}
