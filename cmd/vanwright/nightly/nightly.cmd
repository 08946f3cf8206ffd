@echo off
cd /d C:\vanwright
vanwright.exe run --yard yard --out reports --keep 14 --json > run.json 2> run.log
if not %errorlevel%==0 exit /b %errorlevel%
vanwright.exe since --reports reports --out mail --quiet
