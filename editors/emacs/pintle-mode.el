;;; pintle-mode.el --- Editing designs in Pintle  -*- lexical-binding: t -*-

;; Package-Requires: ((emacs "27.1"))

;;; Commentary:

;; Colours, comments and indentation for Pintle, and what eglot needs to know of its
;; language server.  `pintle' is looked for in the PATH.

;;; Code:

(require 'pintle-words
         (expand-file-name "pintle-words" (file-name-directory (or load-file-name buffer-file-name default-directory))))

(defgroup pintle nil "Designs of what is supposed to switch." :group 'languages)

(defcustom pintle-server-command '("pintle" "serve")
  "How the language server is started."
  :type '(repeat string))

(defcustom pintle-indent 4
  "Columns by which a body is indented; `pintle format' takes 4."
  :type 'integer :safe #'integerp)

(defface pintle-number-face '((t :inherit font-lock-constant-face))
  "Face of numbers.")

(defvar pintle-number-face 'pintle-number-face)

(defvar pintle-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    ;; What a name may hold besides letters and digits.
    (dolist (c '(?_ ?- ?+ ?.))
      (modify-syntax-entry c "_" table))
    table)
  "What the characters of a design are.")

(defvar pintle-font-lock-keywords
  (let ((kind (concat "\\(?:^\\|[{}]\\)[ \t]*\\(" (regexp-opt pintle-kinds) "\\)\\_>"))
        (number "\\(?:\\_<\\|\\+-\\)\\([+-]?[0-9]+\\(?:\\.[0-9]+\\)?\\)"))
    `((,(concat kind "[ \t]+\\([0-9A-Za-z_+-]+\\(?:[ \t]*,[ \t]*[0-9A-Za-z_+-]+\\)*\\)[ \t]*\\(?:[:{}\"#]\\|$\\)")
       (1 font-lock-keyword-face) (2 font-lock-variable-name-face))
      (,kind 1 font-lock-keyword-face)
      (,(concat number "[ \t]*\\(" (regexp-opt pintle-units) "\\)\\(?:\\_>\\|[^0-9A-Za-z_]\\|$\\)")
       (1 pintle-number-face) (2 font-lock-type-face))
      (,(concat number "\\_>") 1 pintle-number-face)
      (,(regexp-opt pintle-operators 'symbols) . font-lock-builtin-face)
      (,(regexp-opt pintle-clauses 'symbols) . font-lock-builtin-face)
      (,(regexp-opt pintle-colours 'symbols) . font-lock-constant-face)
      (,(regexp-opt pintle-choices 'symbols) . font-lock-constant-face)))
  "What is coloured how.")

(defun pintle-indent-line ()
  "Indent a line by the bodies and parentheses that it stands in.
The line after a comma or colon goes on with what is before it."
  (interactive)
  (let ((column
         (save-excursion
           (back-to-indentation)
           (let ((depth (car (syntax-ppss)))
                 (closes (looking-at "[})]")))
             (forward-comment (- (point-max)))
             (* pintle-indent
                (max 0 (+ depth (if closes -1 0) (if (memq (char-before) '(?, ?:)) 1 0))))))))
    (if (<= (current-column) (current-indentation))
        (indent-line-to column)
      (save-excursion (indent-line-to column)))))

;;;###autoload
(define-derived-mode pintle-mode prog-mode "Pintle"
  "Major mode for designs in Pintle."
  (setq-local comment-start "# "
              comment-start-skip "#+[ \t]*"
              font-lock-defaults '(pintle-font-lock-keywords)
              indent-line-function #'pintle-indent-line
              indent-tabs-mode nil))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.pintle\\'" . pintle-mode))

(put 'pintle-mode 'eglot-language-id "pintle")

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs
               (cons 'pintle-mode (lambda (&rest _) pintle-server-command))))

(provide 'pintle-mode)
;;; pintle-mode.el ends here
