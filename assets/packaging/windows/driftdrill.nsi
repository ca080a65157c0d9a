; The installer for Windows: for one user, without an administrator.
;   makensis -DVERSION=x.y.z -DNUMBERS=x.y.z.0 -DTREE=FOLDER -DICON=FILE -DSIDE=FILE.bmp -DOUT=FILE driftdrill.nsi
; Silent with /S, another folder with /D=FOLDER as its last option. The
; uninstaller keeps logbook and settings unless told otherwise: asked, or with
; /EVERYTHING.
Unicode true
Target amd64-unicode
SetCompressor /SOLID lzma
SetDateSave off
ManifestDPIAware true
RequestExecutionLevel user

!include MUI2.nsh
!include FileFunc.nsh

!define KEY "Software\Microsoft\Windows\CurrentVersion\Uninstall\driftdrill"

Name driftdrill
OutFile "${OUT}"
InstallDir "$LOCALAPPDATA\Programs\driftdrill"
InstallDirRegKey HKCU "${KEY}" InstallLocation
BrandingText "driftdrill ${VERSION}"
VIProductVersion ${NUMBERS}
VIAddVersionKey ProductName driftdrill
VIAddVersionKey FileDescription "Installs driftdrill"
VIAddVersionKey FileVersion ${VERSION}
VIAddVersionKey ProductVersion ${VERSION}
VIAddVersionKey LegalCopyright "MIT licence"

!define MUI_ICON "${ICON}"
!define MUI_UNICON "${ICON}"
!define MUI_WELCOMEFINISHPAGE_BITMAP "${SIDE}"
!define MUI_ABORTWARNING
!define MUI_FINISHPAGE_RUN "$INSTDIR\driftdrill.exe"
!define MUI_FINISHPAGE_RUN_TEXT "Begin: put your headphones on and turn them low"
!define MUI_WELCOMEPAGE_TEXT "This installs driftdrill ${VERSION} for you alone; no administrator is needed.$\r$\n$\r$\nIt transmits nothing, needs no network and tells nobody anything."
!insertmacro MUI_PAGE_WELCOME
!insertmacro MUI_PAGE_LICENSE "${TREE}/LICENCE.txt"
!insertmacro MUI_PAGE_DIRECTORY
!insertmacro MUI_PAGE_INSTFILES
!insertmacro MUI_PAGE_FINISH
!insertmacro MUI_UNPAGE_CONFIRM
!insertmacro MUI_UNPAGE_INSTFILES
!insertmacro MUI_LANGUAGE English

Section
  SetOutPath "$INSTDIR"
  File "${TREE}/driftdrill.exe"
  File "${TREE}/README.md"
  File "${TREE}/GUIDE.md"
  File "${TREE}/FILES.md"
  File "${TREE}/MARKS.md"
  File "${TREE}/CHANGELOG.md"
  File "${TREE}/LICENCE.txt"
  File "${TREE}/LICENCES.txt"
  WriteUninstaller "$INSTDIR\uninstall.exe"
  CreateShortCut "$SMPROGRAMS\driftdrill.lnk" "$INSTDIR\driftdrill.exe" "" "$INSTDIR\driftdrill.exe" 0
  WriteRegStr HKCU "${KEY}" DisplayName driftdrill
  WriteRegStr HKCU "${KEY}" DisplayVersion "${VERSION}"
  WriteRegStr HKCU "${KEY}" DisplayIcon "$INSTDIR\driftdrill.exe"
  WriteRegStr HKCU "${KEY}" InstallLocation "$INSTDIR"
  WriteRegStr HKCU "${KEY}" UninstallString '"$INSTDIR\uninstall.exe"'
  WriteRegStr HKCU "${KEY}" QuietUninstallString '"$INSTDIR\uninstall.exe" /S'
  WriteRegDWORD HKCU "${KEY}" NoModify 1
  WriteRegDWORD HKCU "${KEY}" NoRepair 1
SectionEnd

Section Uninstall
  Delete "$SMPROGRAMS\driftdrill.lnk"
  Delete "$INSTDIR\driftdrill.exe"
  Delete "$INSTDIR\README.md"
  Delete "$INSTDIR\GUIDE.md"
  Delete "$INSTDIR\FILES.md"
  Delete "$INSTDIR\MARKS.md"
  Delete "$INSTDIR\CHANGELOG.md"
  Delete "$INSTDIR\LICENCE.txt"
  Delete "$INSTDIR\LICENCES.txt"
  Delete "$INSTDIR\uninstall.exe"
  RMDir "$INSTDIR"
  DeleteRegKey HKCU "${KEY}"

  ; Logbook, sheets and settings stay, unless the user says otherwise.
  ${GetParameters} $0
  ClearErrors
  ${GetOptions} $0 "/EVERYTHING" $1
  IfErrors 0 everything
  IfFileExists "$LOCALAPPDATA\driftdrill\*.*" 0 done
  MessageBox MB_YESNO|MB_ICONQUESTION|MB_DEFBUTTON2 "Delete your logbook, run sheets and settings too?$\r$\n$\r$\nNo keeps them in $LOCALAPPDATA\driftdrill." /SD IDNO IDNO done
  everything:
  RMDir /r "$LOCALAPPDATA\driftdrill"
  done:
SectionEnd
