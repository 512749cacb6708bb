autocmd BufRead,BufNewFile *.pintle setlocal filetype=pintle
