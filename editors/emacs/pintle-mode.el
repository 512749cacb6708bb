(define-derived-mode pintle-mode prog-mode "Pintle")
(add-to-list 'auto-mode-alist '("\\.pintle\\'" . pintle-mode))
(with-eval-after-load 'eglot (add-to-list 'eglot-server-programs '(pintle-mode . ("pintle" "serve"))))
