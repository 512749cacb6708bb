;;; check.el --- Emacs with eglot, without a screen  -*- lexical-binding: t -*-

;; Through the scenario of ../editors_test.go, set up as ../README.md says.
;; Batch mode runs no timers of idleness, so what they would do is called here.

(require 'cl-lib)
(require 'eglot)
(require 'flymake)
(require 'xref)
(load (expand-file-name "emacs/pintle-mode.el" (getenv "PINTLE_EDITORS")))

(setq eglot-sync-connect 60 eglot-connect-timeout 60 jsonrpc-default-request-timeout 60 eglot-autoshutdown nil eglot-confirm-server-initiated-edits nil
      make-backup-files nil auto-save-default nil create-lockfiles nil
      xref-prompt-for-identifier nil)

(defvar check-failures 0)

(defun check (name ok &optional detail)
  "Tell whether the step NAME went well: OK, with a DETAIL."
  (princ (format "%s %s%s\n" (if ok "ok  " "FAIL") name
                 (if detail (format " -- %s" (replace-regexp-in-string "\n" " | " (format "%s" detail))) "")))
  (unless ok (cl-incf check-failures)))

(defun await (condition)
  "Wait until CONDITION gives something, and return it."
  (let ((end (+ (float-time) 60)) v)
    (while (and (not (setq v (funcall condition))) (< (float-time) end))
      (accept-process-output nil 0.02))
    v))

(defun send-changes ()
  "Send what was typed; a timer does it otherwise."
  (eglot--signal-textDocument/didChange))

(defun findings ()
  "What flymake shows in this buffer."
  (flymake-start nil)
  (mapcar (lambda (d) (format "%d %s" (line-number-at-pos (flymake-diagnostic-beg d))
                              (car (split-string (flymake-diagnostic-text d) "\n"))))
          (flymake-diagnostics)))

(defun at (text)
  "Go to the first place with TEXT."
  (goto-char (point-min))
  (search-forward text)
  (goto-char (match-beginning 0)))

(defun contents () (buffer-substring-no-properties (point-min) (point-max)))

(defun mistake ()
  "Misspell a pin, and wait until it is found."
  (at "F1.in,")
  (undo-boundary)
  (search-forward "in")
  (insert "n")
  (undo-boundary)
  (send-changes)
  (await #'findings))

(defun scenario ()
  "Open, look, change, leave."
  (let* ((workspace (file-name-as-directory (getenv "PINTLE_TEST_WORKSPACE")))
         (buffer (find-file-noselect (concat workspace "headlamps.pintle")))
         server good published)
    (switch-to-buffer buffer)
    (buffer-enable-undo)
    (cl-assert (derived-mode-p 'pintle-mode))
    (setq good (contents))
    (cl-defmethod eglot-handle-notification :before (_server (_method (eql textDocument/publishDiagnostics)) &rest params)
      (when (string-suffix-p "/headlamps.pintle" (plist-get params :uri))
        (setq published t)))
    (apply #'eglot (eglot--guess-contact)) ; what M-x eglot does
    (setq server (eglot-current-server))
    (check "clean at first" (and (await (lambda () published)) (null (findings))) (findings))

    (font-lock-ensure)
    (let ((faces (mapcar (lambda (word)
                           (at "wire W1:")
                           (search-forward word)
                           (get-text-property (match-beginning 0) 'face))
                         '("wire" "W1" "to" "red" "4" "mm2"))))
      (check "colours" (equal faces '(font-lock-keyword-face font-lock-variable-name-face font-lock-builtin-face
                                      font-lock-constant-face pintle-number-face font-lock-type-face))
             faces))

    (check "finding" (mistake) (findings))
    (setq last-command nil)
    (let ((inhibit-message t))
      (undo))
    (send-changes)
    (check "undo" (and (await (lambda () (null (findings)))) (equal (contents) good)) (findings))

    (at "TwinFilament")
    (let* ((answer (jsonrpc-request server :textDocument/hover (eglot--TextDocumentPositionParams)))
           (shown (and answer (eglot--hover-info (plist-get answer :contents) (plist-get answer :range)))))
      (check "hover" (and shown (string-match-p "two filaments" shown)) (and shown (truncate-string-to-width shown 80))))

    (at "fit E1: TwinFilament")
    (forward-char (length "fit E1: TwinF"))
    (let ((capf (eglot-completion-at-point)))
      (check "completion" (and capf (member "TwinFilament" (all-completions "TwinF" (nth 2 capf))))))

    (at "TwinFilament")
    (let ((inhibit-message t))
      (xref-find-definitions (xref-backend-identifier-at-point 'eglot)))
    (check "definition" (and (string-suffix-p "parts/lamps.pintle" (buffer-file-name)) (looking-at-p "\\(part \\)?TwinFilament"))
           (buffer-substring-no-properties (line-beginning-position) (line-end-position)))
    (switch-to-buffer buffer)

    (at "TwinFilament")
    (let ((places (xref-backend-references 'eglot (xref-backend-identifier-at-point 'eglot))))
      (check "references" (>= (length places) 3) (length places)))

    (mistake)
    (at "F1.inn")
    (search-forward ".")
    (let* ((actions (append (eglot-code-actions (point) (1+ (point)) "quickfix") nil))
           (first (car actions)))
      (when first
        (cl-letf (((symbol-function 'completing-read) (lambda (_prompt choices &rest _) (caar choices)))
                  ((symbol-function 'y-or-n-p) (lambda (&rest _) t)))
          (eglot-code-actions (point) (1+ (point)) "quickfix" t)))
      (send-changes)
      (check "fix" (await (lambda () (equal (contents) good))) (mapcar (lambda (a) (plist-get a :title)) actions))
      (check "finding gone" (await (lambda () (null (findings)))) (findings)))

    (at "wire W1:")
    (forward-char 4)
    (insert "     ")
    (send-changes)
    (eglot-format-buffer)
    (send-changes)
    (check "format" (equal (contents) good) (progn (at "W1:") (buffer-substring-no-properties (line-beginning-position) (line-end-position))))

    (at "TwinFilament")
    (eglot-rename "HeadlampBulb")
    (check "rename" (await (lambda () (string-match-p "fit E2: HeadlampBulb" (contents)))))
    (let ((other (find-buffer-visiting (concat workspace "parts/lamps.pintle"))))
      (check "renamed elsewhere" (and other (with-current-buffer other (string-match-p "part HeadlampBulb" (contents))))))
    (let ((inhibit-message t))
      (save-some-buffers t))

    (let ((process (jsonrpc--process server)))
      (eglot-shutdown server nil 10 t)
      (check "shutdown" (await (lambda () (not (process-live-p process))))))))

(condition-case err
    (scenario)
  (error (check "scenario" nil err)))
(kill-emacs (if (zerop check-failures) 0 1))
