" Vim with ALE, without a screen, through the scenario of ../editors_test.go. This file
" stands in for the vimrc, and sets up what ../README.md says.
set nocompatible nomore noswapfile viminfo= hidden encoding=utf-8
" Nobody is there to press Enter.
set shortmess=aoOtTIF cmdheight=8 lines=60 columns=200
let s:home = fnamemodify(resolve(expand('<sfile>:p')), ':h')
let &runtimepath = s:home . ',' . &runtimepath
let g:ale_linters = {'pintle': ['pintle']}
let g:ale_fixers = {'pintle': ['ale#fixers#pintle#Fix']}
let g:ale_linters_explicit = 1
let g:ale_lint_delay = 20
let g:ale_hover_to_preview = 1
let g:ale_echo_cursor = 0
packadd ale
filetype plugin on
syntax on

let s:failures = 0
let s:linted = 0
autocmd User ALELintPost let s:linted = 1
function! s:Check(name, ok, ...) abort
  call writefile([(a:ok ? 'ok   ' : 'FAIL ') . a:name . (a:0 ? ' -- ' . substitute(a:1, '\n', ' | ', 'g') : '')], $PINTLE_TEST_LOG, 'a')
  let s:failures += a:ok ? 0 : 1
endfunction

function! s:Await(condition) abort
  let l:began = reltime()
  while !a:condition()
    if reltimefloat(reltime(l:began)) > 60
      return 0
    endif
    sleep 20m
  endwhile
  return 1
endfunction

function! s:Text(buffer) abort
  return join(getbufline(a:buffer, 1, '$'), "\n")
endfunction

function! s:Findings(buffer) abort
  return map(copy(ale#engine#GetLoclist(a:buffer)), {_, d -> d.lnum . ' ' . get(d, 'code', '') . ' ' . split(d.text, "\n")[0]})
endfunction

function! s:At(what) abort
  call cursor(1, 1)
  if !search('\V' . a:what, 'cW')
    throw 'not there: ' . a:what
  endif
endfunction

function! s:Group(word) abort
  call s:At('wire W1:')
  call search('\V' . a:word, 'c')
  return synIDattr(synID(line('.'), col('.'), 1), 'name')
endfunction

" No event tells of changes that a script makes: ALE is asked to look.
function! s:Mistake(buffer) abort
  call s:At('F1.in,')
  execute 'normal! 3lciwinn'
  ALELint
  return s:Await({-> !empty(s:Findings(a:buffer))})
endfunction

function! s:Preview() abort
  let l:b = bufnr('ALEPreviewWindow')
  return l:b > 0 ? s:Text(l:b) : ''
endfunction

function! s:Scenario() abort
  execute 'edit ' . fnameescape($PINTLE_TEST_WORKSPACE . '/headlamps.pintle')
  let l:b = bufnr('')
  if &filetype !=# 'pintle'
    throw 'filetype ' . &filetype
  endif
  ALELint
  call s:Check('clean at first', s:Await({-> s:linted}) && empty(s:Findings(l:b)), join(s:Findings(l:b), '; '))

  let l:groups = map(['wire', 'W1:', 'to F1', 'red', '4 mm2', 'mm2'], {_, w -> s:Group(w)})
  call s:Check('colours', l:groups ==# ['pintleKind', 'pintleName', 'pintleClause', 'pintleColour', 'pintleNumber', 'pintleUnit'], join(l:groups))

  let l:good = s:Text(l:b)
  call s:Check('finding', s:Mistake(l:b) && s:Findings(l:b)[0] =~# 'undefined-name', join(s:Findings(l:b), '; '))
  silent undo
  ALELint
  call s:Check('undo', s:Await({-> empty(s:Findings(l:b))}) && s:Text(l:b) ==# l:good)

  call s:At('TwinFilament')
  ALEHover
  call s:Check('hover', s:Await({-> s:Preview() =~# 'two filaments'}), strcharpart(s:Preview(), 0, 80))
  execute bufwinnr(l:b) . 'wincmd w'
  only

  " The part is all that CTRL-X CTRL-O finds, so it is put in without a menu.
  setlocal omnifunc=ale#completion#OmniFunc
  call s:At('TwinFilament')
  execute "normal! ciwTwinF\<C-x>\<C-o>"
  call s:Check('completion', s:Text(l:b) ==# l:good, getline('.'))

  call s:At('TwinFilament')
  ALEGoToDefinition
  call s:Check('definition', s:Await({-> expand('%:p') =~# 'parts/lamps.pintle$'}) && getline('.') =~# '^part TwinFilament', getline('.'))
  execute 'buffer ' . l:b

  call s:At('TwinFilament')
  " ALE asks for them without the declaration.
  ALEFindReferences -quickfix
  call s:Check('references', s:Await({-> len(getqflist()) >= 2}), len(getqflist()) . ' places')
  silent! cclose
  execute 'buffer ' . l:b

  call s:Mistake(l:b)
  call s:At('F1.inn')
  normal! 3l
  call test_feedinput("1\<CR>")
  ALECodeAction
  call s:Check('fix', s:Await({-> s:Text(l:b) ==# l:good}))
  ALELint
  call s:Check('finding gone', s:Await({-> empty(s:Findings(l:b))}), join(s:Findings(l:b), '; '))

  call s:At('wire W1:')
  execute 'normal! wi     '
  ALEFix
  call s:Check('format', s:Await({-> s:Text(l:b) ==# l:good}), getline('.'))

  call s:At('TwinFilament')
  call test_feedinput("\<C-U>HeadlampBulb\<CR>")
  ALERename
  call s:Check('rename', s:Await({-> s:Text(l:b) =~# 'fit E2: HeadlampBulb'}))
  silent wall
  let l:lamps = $PINTLE_TEST_WORKSPACE . '/parts/lamps.pintle'
  call s:Check('renamed elsewhere', s:Await({-> join(readfile(l:lamps), "\n") =~# 'part HeadlampBulb'}))
endfunction

function! s:Run() abort
  try
    call s:Scenario()
    " ALE says no goodbye: it ends the server's process, here as when Vim is left.
    call ale#lsp#StopAll()
    call s:Check('shutdown', 1)
  catch
    call s:Check('scenario', 0, v:exception . ' @ ' . v:throwpoint)
  endtry
  if s:failures
    cquit!
  endif
  qall!
endfunction

autocmd VimEnter * ++nested call s:Run()
